using System.Diagnostics;
using System.Net.Sockets;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Tests.Links;
using ThermoWatch.Acquisition.Tests.Peers;

namespace ThermoWatch.Acquisition.Tests.Modbus;

/// <summary>The client against a peer that misbehaves on a real socket.</summary>
public sealed class ModbusTcpClientTests
{
    private static readonly TimeSpan Timeout = TimeSpan.FromMilliseconds(150);

    /// <summary>Where an answer is sure to come, a busy computer may take its time.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

    [Fact]
    public void A_late_reply_is_dropped_and_counted_and_never_taken_for_the_next()
    {
        byte[]? held = null;
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            if (held is null)
            {
                held = ScriptedPeer.Reply(request, offset: 5000); // kept until the next request comes: 1.5 time-outs late or more
                return;
            }

            await socket.SendAsync(held);
            held = [];
            await socket.SendAsync(ScriptedPeer.Reply(request));
        });
        using ModbusTcpClient client = Open(peer);
        Assert.Equal(ExchangeStatus.TimedOut, Read(client, 10, 1, Timeout).Status);
        (ExchangeStatus status, string data) = Read(client, 10, 1);
        Assert.Equal((ExchangeStatus.Ok, "000A"), (status, data));
        Assert.Equal((1, 1, 1), (client.Counters.TimeOuts, client.Counters.Unmatched, client.Counters.Replies));
    }

    [Theory]
    [InlineData(6, 18, ExchangeStatus.Garbled)] // unit
    [InlineData(7, 4, ExchangeStatus.Garbled)] // function
    [InlineData(8, 2, ExchangeStatus.Garbled)] // byte count
    [InlineData(0, 99, ExchangeStatus.TimedOut)] // transaction: somebody else's reply, so ours is still to come
    [InlineData(3, 1, ExchangeStatus.Closed)] // protocol id
    [InlineData(4, 2, ExchangeStatus.Closed)] // length beyond 254
    public void A_reply_that_does_not_match_is_not_taken(int at, byte wrong, ExchangeStatus expected)
    {
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            byte[] reply = ScriptedPeer.Reply(request);
            reply[at] = wrong;
            await socket.SendAsync(reply);
        });
        using ModbusTcpClient client = Open(peer);
        Assert.Equal(expected, Read(client, 0, 2, expected == ExchangeStatus.TimedOut ? Timeout : Patience).Status);
        Assert.Equal(expected != ExchangeStatus.Closed, client.IsOpen);
    }

    [Fact]
    public void A_reply_cut_into_single_bytes_is_put_together()
    {
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            foreach (byte b in ScriptedPeer.Reply(request)) await socket.SendAsync(new[] { b });
        });
        using ModbusTcpClient client = Open(peer);
        for (int i = 0; i < 20; i++) Assert.Equal((ExchangeStatus.Ok, "002A002B"), Read(client, 42, 2));
    }

    [Fact]
    public void Replies_to_requests_in_flight_may_come_in_any_order_and_in_one_segment()
    {
        List<byte[]> replies = [];
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            replies.Add(ScriptedPeer.Reply(request));
            if (replies.Count < 3) return;
            replies.Reverse();
            await socket.SendAsync(replies.SelectMany(r => r).ToArray());
            replies.Clear();
        });
        using ModbusTcpClient client = Open(peer, maxOutstanding: 3);
        for (int round = 0; round < 3; round++)
        {
            var outcomes = new Outcomes();
            client.ReadBlocks(1, [Block(10), Block(20), Block(30)], Patience, outcomes);
            Assert.Equal(["Ok 000A", "Ok 0014", "Ok 001E"], outcomes.ByIndex);
        }
    }

    [Fact]
    public void Ten_thousand_replies_cut_anywhere_read_the_same()
    {
        var time = new FakeTimeProvider();
        var random = new Random(5);
        var line = new VirtualLine(time, sent =>
        {
            List<byte> stream = [];
            for (int at = 0; at < sent.Length; at += 12) stream.AddRange(ScriptedPeer.Reply(sent[at..(at + 12)]));
            List<(double, byte[])> pieces = [];
            for (int at = 0; at < stream.Count;)
            {
                int length = Math.Min(random.Next(1, 40), stream.Count - at);
                pieces.Add((1, stream.GetRange(at, length).ToArray()));
                at += length;
            }

            return pieces;
        });
        var client = new ModbusTcpClient(line, time, maxOutstanding: 10);
        client.Open(Timeout);
        ReadBlock[] blocks = [.. Enumerable.Range(0, 10_000).Select(i => Block((ushort)i))];
        var outcomes = new Outcomes();
        client.ReadBlocks(1, blocks, Timeout, outcomes);
        Assert.Equal(blocks.Select(b => $"Ok {b.Address:X4}"), outcomes.ByIndex);
    }

    [Fact]
    public void A_block_that_is_not_answered_does_not_spoil_the_others_in_flight()
    {
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            if (request[9] != 20) await socket.SendAsync(ScriptedPeer.Reply(request));
        });
        using ModbusTcpClient client = Open(peer, maxOutstanding: 3);
        var outcomes = new Outcomes();
        client.ReadBlocks(1, [Block(10), Block(20), Block(30)], TimeSpan.FromSeconds(1), outcomes);
        Assert.Equal(["Ok 000A", "TimedOut ", "Ok 001E"], outcomes.ByIndex);
    }

    [Fact]
    public void A_slave_that_waits_for_acknowledgements_is_not_kept_waiting()
    {
        // Its socket gathers small replies until the one before is acknowledged, as is usual where nobody asked for otherwise.
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        using ModbusTcpClient client = Open(peer, maxOutstanding: 8);
        ReadBlock[] blocks = [.. Enumerable.Range(0, 8).Select(i => Block((ushort)(10 * i)))];
        double fastest = double.MaxValue;
        for (int batch = 0; batch < 50; batch++)
        {
            long began = Stopwatch.GetTimestamp();
            client.ReadBlocks(1, blocks, Patience, new Outcomes());
            if (batch >= 25) fastest = Math.Min(fastest, Stopwatch.GetElapsedTime(began).TotalMilliseconds);
        }

        Assert.Equal(400, client.Counters.Replies);
        Assert.True(fastest < 20, $"the fastest of 25 batches took {fastest:0.0} ms: an acknowledgement that is put off costs 40"); // the system's least delay
    }

    [Fact]
    public void Bytes_that_trickle_in_do_not_stretch_the_deadline()
    {
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            byte[] reply = ScriptedPeer.Reply(request);
            for (int i = 0; i < reply.Length; i++)
            {
                await socket.SendAsync(reply.AsMemory(i, 1));
                await Task.Delay(40);
            }
        });
        using ModbusTcpClient client = Open(peer);
        long started = Stopwatch.GetTimestamp();
        Assert.Equal(ExchangeStatus.TimedOut, Read(client, 0, 20, Timeout).Status);
        Assert.InRange(Stopwatch.GetElapsedTime(started), Timeout, TimeSpan.FromSeconds(1.5)); // the whole reply would take 2 s
    }

    [Fact]
    public void A_device_that_hangs_up_is_a_closed_link_with_a_remedy()
    {
        using var peer = new ScriptedPeer((_, _, socket) =>
        {
            socket.Shutdown(SocketShutdown.Send); // half close: it could still hear us, but will say nothing more
            return Task.CompletedTask;
        });
        using ModbusTcpClient client = Open(peer);
        ModbusExchange exchange = client.Exchange(1, ModbusRequest.Read(ModbusTable.Holding, 0, 1), Patience);
        Assert.Equal(ExchangeStatus.Closed, exchange.Status);
        Assert.Contains("another program", exchange.Reason, StringComparison.Ordinal);
        Assert.False(client.IsOpen);
    }

    [Fact]
    public void Nothing_listens_is_said_with_a_remedy()
    {
        using var peer = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        int port = peer.Port;
        peer.Dispose();
        using var client = new ModbusTcpClient(new TcpLink("127.0.0.1", port), TimeProvider.System);
        LinkResult opened = client.Open(Patience);
        Assert.Equal(LinkStatus.CannotOpen, opened.Status);
        Assert.Contains("refuses the connection", opened.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_call_that_waits_ends_when_another_thread_aborts()
    {
        var asked = new TaskCompletionSource();
        using var peer = new ScriptedPeer((_, _, _) =>
        {
            asked.TrySetResult();
            return Task.CompletedTask;
        });
        using ModbusTcpClient client = Open(peer);
        Task<ExchangeStatus> waiting = Task.Run(() => client.Exchange(1, ModbusRequest.Read(ModbusTable.Holding, 0, 1), TimeSpan.FromMinutes(5)).Status);
        await asked.Task;
        client.Abort();
        Assert.Equal(ExchangeStatus.Closed, await waiting.WaitAsync(Patience));
    }

    [Fact]
    public void A_connect_that_nobody_answers_ends_at_its_deadline()
    {
        // A listener whose queue is full leaves further SYNs unanswered on Linux, like a host that is off.
        using var full = new Socket(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp);
        full.Bind(new System.Net.IPEndPoint(System.Net.IPAddress.Loopback, 0));
        full.Listen(0);
        List<Socket> fillers = [.. Enumerable.Range(0, 4).Select(_ => new Socket(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp) { Blocking = false })];
        foreach (Socket filler in fillers)
        {
            try { filler.Connect(full.LocalEndPoint!); }
            catch (SocketException e) when (e.SocketErrorCode is SocketError.WouldBlock or SocketError.InProgress) { /* under way */ }
        }

        using var link = new TcpLink("127.0.0.1", ((System.Net.IPEndPoint)full.LocalEndPoint!).Port);
        long started = Stopwatch.GetTimestamp();
        LinkResult opened = link.Open(TimeSpan.FromMilliseconds(200));
        Assert.Equal(LinkStatus.CannotOpen, opened.Status);
        Assert.Contains("does not answer within", opened.Reason, StringComparison.Ordinal);
        Assert.InRange(Stopwatch.GetElapsedTime(started).TotalMilliseconds, 150, 20_000);
        fillers.ForEach(f => f.Dispose());
    }

    [Fact]
    public void Writing_is_off_unless_the_device_allows_it()
    {
        using var peer = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        using ModbusTcpClient client = Open(peer);
        Assert.Equal(ExchangeStatus.WritesOff, client.Exchange(1, ModbusRequest.WriteRegister(0, 1), Timeout).Status);
        Assert.Equal((0, 0), (client.Counters.Requests, peer.Requests));
    }

    private static ModbusTcpClient Open(ScriptedPeer peer, int maxOutstanding = 1)
    {
        var client = new ModbusTcpClient(new TcpLink("127.0.0.1", peer.Port, maxOutstanding > 1), TimeProvider.System, maxOutstanding);
        Assert.Equal(LinkStatus.Done, client.Open(Patience).Status);
        return client;
    }

    private static (ExchangeStatus Status, string Data) Read(ModbusTcpClient client, ushort address, int quantity, TimeSpan? timeout = null)
    {
        ModbusExchange exchange = client.Exchange(1, ModbusRequest.Read(ModbusTable.Holding, address, quantity), timeout ?? Patience);
        return (exchange.Status, Convert.ToHexString(exchange.Data));
    }

    private static ReadBlock Block(ushort address) => new(ModbusTable.Holding, address, 1);

    private sealed class Outcomes : IBlockReader
    {
        private readonly SortedDictionary<int, string> _byIndex = [];

        public IEnumerable<string> ByIndex => _byIndex.Values;

        public void OnBlock(int index, in ModbusExchange exchange) =>
            _byIndex.Add(index, $"{exchange.Status} {Convert.ToHexString(exchange.Data)}");
    }
}
