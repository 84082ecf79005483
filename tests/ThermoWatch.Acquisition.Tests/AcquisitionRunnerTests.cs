using System.Net;
using System.Net.Sockets;
using System.Threading.Channels;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Tests.Modbus;
using ThermoWatch.Acquisition.Tests.Peers;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests;

/// <summary>Options in, inputs of the engine out, over real sockets.</summary>
public sealed class AcquisitionRunnerTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    [Fact]
    public async Task Values_and_refusals_arrive_in_the_order_of_the_points()
    {
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            bool refused = request[9] >= 100; // addresses from 100 do not exist
            await socket.SendAsync(refused ? [request[0], request[1], 0, 0, 0, 3, request[6], (byte)(request[7] | 0x80), 2] : ScriptedPeer.Reply(request));
        });
        await using var run = new Run(Device(peer.Port) with
        {
            Points = [Point("far", 100), Point("two", 2, PointType.UInt32), Point("zero", 0)],
        });
        RawScan scan = (await run.Next<ScanInput>()).Scan;
        Assert.Equal([double.NaN, 0x00020003, 0], scan.Values);
        Assert.Equal([SignalQuality.Bad(QualityReason.Refused), SignalQuality.Good, SignalQuality.Good], scan.Qualities);
    }

    [Fact]
    public async Task A_hole_that_the_device_refuses_is_left_out_from_the_next_scan_on()
    {
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            bool refused = request[9] <= 2 && request[9] + request[11] > 2; // register 2 does not exist
            await socket.SendAsync(refused ? [request[0], request[1], 0, 0, 0, 3, request[6], (byte)(request[7] | 0x80), 2] : ScriptedPeer.Reply(request));
        });
        await using var run = new Run(Device(peer.Port) with { Points = [Point("a", 0), Point("b", 1), Point("c", 3)] });
        await run.Next<ScanInput>();
        RawScan scan = (await run.Next<ScanInput>()).Scan;
        Assert.Equal([0, 1, 3], scan.Values);
        Assert.All(scan.Qualities, q => Assert.Equal(SignalQuality.Good, q));
    }

    [Fact]
    public async Task A_device_that_restarts_is_found_again_without_our_restart()
    {
        var first = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Run(Device(first.Port));
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
        first.Dispose();
        DeviceStateInput down = await run.Next<DeviceStateInput>(s => s.State == DeviceState.Down);
        Assert.Contains("refuses", down.Reason, StringComparison.Ordinal);
        using var second = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request, offset: 7)), first.Port);
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
        Assert.Equal(7, (await run.Next<ScanInput>(s => s.Scan.Qualities[0].HasValue && s.Scan.Values[0] != 0)).Scan.Values[0]);
    }

    [Fact]
    public async Task A_reset_connection_is_made_again()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Run(Device(peer.Port));
        for (int i = 0; i < 5; i++)
        {
            await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
            peer.Reset();
        }

        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
        Assert.True(peer.Connections >= 6);
    }

    [Fact]
    public async Task A_connection_that_is_dead_at_the_far_end_is_given_up_for_a_new_one()
    {
        // The first connection goes quiet without a word, as when a switch between loses power.
        int answered = 0;
        using var peer = new ScriptedPeer((connection, request, socket) => connection == 1 && ++answered > 3
            ? Task.CompletedTask
            : socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Run(Device(peer.Port));
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Suspect);
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Down);
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
        Assert.True(peer.Connections >= 2);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    public async Task A_request_is_sent_again_as_often_as_set(int retries)
    {
        using var peer = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        await using var run = new Run(Device(peer.Port) with { Retries = retries, Period = TimeSpan.FromHours(1) });
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Suspect);
        Assert.Equal(1 + retries, peer.Requests);
    }

    [Fact]
    public async Task Other_settings_hold_from_the_next_request_on()
    {
        // Registers 0 and 3: read together with a gap of 8, apart with a gap of 1. 
        bool answers = true;
        int unanswered = 0;
        List<int> asked = [];
        using var peer = new ScriptedPeer((_, request, socket) =>
        {
            lock (asked) asked.Add(request[11]);
            if (answers) return socket.SendAsync(ScriptedPeer.Reply(request));
            unanswered++;
            return Task.CompletedTask;
        });
        await using var run = new Run(Device(peer.Port) with { Points = [Point("a", 0), Point("b", 3)], Period = TimeSpan.FromMilliseconds(20), Timeout = TimeSpan.FromSeconds(30) });
        await run.Next<ScanInput>();
        Assert.Empty(run.Runner.Change(0, new(MaxGapRegisters: 1)));
        await run.Next<ScanInput>(s => s.Scan.Qualities[0].HasValue);
        await run.Next<ScanInput>(s => s.Scan.Qualities[0].HasValue);
        lock (asked) Assert.Equal((4, 1, 1), (asked[0], asked[^1], asked[^2]));

        // With the first time-out this would take half a minute a request.
        Assert.Empty(run.Runner.Change(0, new(TimeSpan.FromMilliseconds(50), Retries: 2, MaxGapRegisters: 8)));
        await run.Next<ScanInput>(s => s.Scan.Qualities[0].HasValue);
        answers = false;
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Down);
        Assert.Equal(3 * 3, unanswered); // three polls missed, each asked once and twice again
        Assert.Equal((TimeSpan.FromMilliseconds(50), 2), (((ModbusDeviceOptions)run.Runner.Options(0)).Timeout, ((ModbusDeviceOptions)run.Runner.Options(0)).Retries));
    }

    [Fact]
    public async Task Settings_that_cannot_be_change_nothing_and_say_why()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Run(Device(peer.Port));
        DeviceOptions before = run.Runner.Options(0);
        Assert.Equal(["timeout", "retries", "maxGapRegisters"], run.Runner.Change(0, new(TimeSpan.FromMilliseconds(1), 6, 200)).Select(f => f.Path));
        Assert.Same(before, run.Runner.Options(0));
    }

    [Fact]
    public async Task A_dead_device_does_not_disturb_another_wire()
    {
        using var silent = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Run(Device(silent.Port) with { Id = "dead" }, Device(peer.Port) with { Id = "live", Timeout = TimeSpan.FromSeconds(20) });
        await run.Next<DeviceStateInput>(s => s.DeviceIndex == 0 && s.State == DeviceState.Down);
        await run.Next<ScanInput>(s => s.Scan.DeviceIndex == 1);
        Assert.Equal((DeviceState.Up, 0), (run.Runner.Statistics[1].State, run.Runner.Statistics[1].Missed));
    }

    [Fact]
    public async Task Lines_of_a_talker_arrive_and_a_garbled_one_is_a_bad_scan_with_its_bytes_in_the_reason()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        await using var run = new Run(new TextDeviceOptions
        {
            Id = "talker",
            Host = "127.0.0.1",
            Port = ((IPEndPoint)listener.LocalEndpoint).Port,
            Format = new TextFormat { Layout = TextLayout.KeyValue, Separator = ' ' },
            Points = [new TextPoint { Id = "chamber", Field = "p" }],
        });
        using Socket talker = await listener.AcceptSocketAsync();
        await talker.SendAsync("13 t=20\np=1.25E+1 t=20\n"u8.ToArray());
        Assert.Equal(12.5, (await run.Next<ScanInput>()).Scan.Values[0]);
        await talker.SendAsync("p=1,3 t=20\np=14 t=20\n"u8.ToArray());
        Assert.Equal(SignalQuality.Bad(QualityReason.Garbled), (await run.Next<ScanInput>()).Scan.Qualities[0]);
        Assert.Contains("\"p=1,3 t=20\"", (await run.Next<DeviceStateInput>(s => s.State == DeviceState.Suspect)).Reason, StringComparison.Ordinal);
        Assert.Equal(14, (await run.Next<ScanInput>()).Scan.Values[0]);
    }

    [Fact]
    public async Task A_second_master_behind_a_gateway_is_a_state_with_its_reason_while_values_go_on()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        await using var run = new Run(new ModbusRtuOverTcpDeviceOptions
        {
            Id = "d",
            Host = "127.0.0.1",
            Port = ((IPEndPoint)listener.LocalEndpoint).Port,
            Period = TimeSpan.FromMilliseconds(20),
            Timeout = TimeSpan.FromSeconds(20),
            Points = [Point("p", 0)],
        });
        using Socket line = await listener.AcceptSocketAsync();
        byte[] request = new byte[8], reply = RtuTests.WithCrc([1, 3, 2, 0, 42]), foreign = RtuTests.WithCrc([6, 4, 0, 16, 0, 2]);
        Task answering = Task.Run(async () =>
        {
            try
            {
                for (int poll = 0; await line.ReceiveAsync(request) > 0; poll++) await line.SendAsync(poll == 10 ? [.. reply, .. foreign] : reply);
            }
            catch (SocketException)
            {
                // The line was hung up, as the test ends.
            }
        });
        await run.Next<DeviceStateInput>(s => s.State == DeviceState.Up);
        DeviceStateInput suspect = await run.Next<DeviceStateInput>(s => s.State == DeviceState.Suspect);
        Assert.Contains("Another master talks on", suspect.Reason, StringComparison.Ordinal);
        Assert.Contains("unit 6 with function 04", suspect.Reason, StringComparison.Ordinal);
        Assert.Equal((42, SignalQuality.Good), ((await run.Next<ScanInput>()).Scan is var scan ? scan.Values[0] : 0, scan.Qualities[0]));
        Assert.Equal(0, run.Runner.Statistics[0].Missed);
        line.Shutdown(SocketShutdown.Both);
        await answering.WaitAsync(Patience);
    }

    private static ModbusPoint Point(string id, int address, PointType type = PointType.UInt16) => new() { Id = id, Address = address, Type = type };

    private static ModbusTcpDeviceOptions Device(int port) => new()
    {
        Id = "d",
        Host = "127.0.0.1",
        Port = port,
        Period = TimeSpan.FromMilliseconds(20),
        Timeout = TimeSpan.FromMilliseconds(400),
        RetryCap = TimeSpan.FromMilliseconds(200),
        Points = [Point("p", 0)],
    };

    private sealed class Run : IAsyncDisposable
    {
        private readonly Channel<EngineInput> _queue = Channel.CreateBounded<EngineInput>(10_000);
        private readonly CancellationTokenSource _stop = new();
        private readonly Task _running;

        public Run(params DeviceOptions[] devices)
        {
            Runner = new AcquisitionRunner(devices, _queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, jitterSeed: 1);
            _running = Runner.RunAsync(_stop.Token);
        }

        public AcquisitionRunner Runner { get; }

        public async Task<T> Next<T>(Func<T, bool>? wanted = null)
            where T : EngineInput
        {
            using var patience = new CancellationTokenSource(Patience);
            while (true)
                if (await _queue.Reader.ReadAsync(patience.Token) is T input && (wanted is null || wanted(input))) return input;
        }

        public async ValueTask DisposeAsync()
        {
            await _stop.CancelAsync();
            await _running.WaitAsync(Patience);
            _stop.Dispose();
        }
    }
}
