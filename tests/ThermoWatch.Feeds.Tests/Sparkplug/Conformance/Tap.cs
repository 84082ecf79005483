using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>What happened, in order: connections opened and closed, packets sent by the node, messages heard from the broker.</summary>
/// <param name="Server">Which broker.</param>
/// <param name="Kind">open, close, packet or heard.</param>
/// <param name="Connection">Which connection of the node with that broker; for heard messages unused.</param>
/// <param name="Packet">What was sent, or heard.</param>
internal sealed record Happening(int Server, string Kind, int Connection, Packet Packet);

/// <summary>The happenings of one recording.</summary>
internal sealed class Log
{
    private readonly Lock _gate = new();
    private readonly List<Happening> _all = [];

    public IReadOnlyList<Happening> All
    {
        get
        {
            lock (_gate)
            {
                return [.. _all];
            }
        }
    }

    public void Add(Happening happening)
    {
        lock (_gate)
        {
            _all.Add(happening);
        }
    }
}

/// <summary>Stands between the node and its broker and writes down every packet that the node sends. It can cut the wire.</summary>
internal sealed class Tap : IAsyncDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource _ending = new();
    private readonly int _server, _broker;
    private readonly Log _log;
    private readonly Task _running;
    private readonly List<Socket> _open = [];
    private int _connections;
    private bool _ended;

    public Tap(int server, int brokerPort, Log log)
    {
        (_server, _broker, _log) = (server, brokerPort, log);
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _running = RunAsync();
    }

    public int Port { get; }

    /// <summary>Both sides see the connection end without a word.</summary>
    public void Cut()
    {
        lock (_open)
        {
            _open.ForEach(socket => socket.Dispose());
            _open.Clear();
        }
    }

    /// <summary>Nobody listens there any more. May be called twice.</summary>
    public async ValueTask DisposeAsync()
    {
        if (_ended)
        {
            return;
        }

        _ended = true;
        await _ending.CancelAsync();
        _listener.Dispose();
        Cut();
        await _running;
        _ending.Dispose();
    }

    private async Task RunAsync()
    {
        List<Task> carrying = [];
        try
        {
            while (true)
            {
                carrying.Add(CarryAsync(await _listener.AcceptSocketAsync(_ending.Token), _connections++));
            }
        }
        catch (Exception end) when (end is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The test is over.
        }

        await Task.WhenAll(carrying);
    }

    private async Task CarryAsync(Socket client, int connection)
    {
        using Socket broker = new(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        client.NoDelay = true;
        try
        {
            await broker.ConnectAsync(IPAddress.Loopback, _broker, _ending.Token);
            lock (_open)
            {
                _open.AddRange([client, broker]);
            }

            _log.Add(new Happening(_server, "open", connection, new Packet("")));
            var reader = new PacketReader();
            await Task.WhenAny(
                PumpAsync(client, broker, bytes =>
                {
                    foreach (Packet packet in reader.Read(bytes))
                    {
                        _log.Add(new Happening(_server, "packet", connection, packet));
                    }
                }),
                PumpAsync(broker, client, _ => { }));
            _log.Add(new Happening(_server, "close", connection, new Packet("")));
        }
        catch (SocketException)
        {
            // No broker there: the node sees its connection end.
        }
        finally
        {
            client.Dispose();
        }
    }

    private static async Task PumpAsync(Socket from, Socket to, Action<byte[]> see)
    {
        byte[] buffer = new byte[65536];
        try
        {
            int count;
            while ((count = await from.ReceiveAsync(buffer)) > 0)
            {
                see(buffer[..count]);
                await to.SendAsync(buffer.AsMemory(0, count));
            }
        }
        catch (Exception end) when (end is SocketException or ObjectDisposedException)
        {
            // Cut, or closed by the other side.
        }
    }
}
