using System.Net;
using System.Net.Sockets;
using ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>A broker of a few bytes that acknowledges when the test wants it to. One client, MQTT 5.</summary>
internal sealed class ScriptedBroker : IAsyncDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly Lock _gate = new();
    private readonly List<Packet> _published = [];
    private readonly Task _running;
    private readonly int _receiveMaximum;
    private Socket? _client;
    private int _acknowledged;

    /// <param name="receiveMaximum">How many messages of quality 1 it allows on the way.</param>
    public ScriptedBroker(int receiveMaximum)
    {
        _receiveMaximum = receiveMaximum;
        _listener.Start();
        _running = RunAsync();
    }

    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    /// <summary>Messages of quality 1 that have come.</summary>
    public IReadOnlyList<Packet> Published
    {
        get
        {
            lock (_gate)
            {
                return [.. _published];
            }
        }
    }

    /// <summary>Waits until so many have come, and a while longer whether more come than may.</summary>
    public async Task<int> SettledAsync(int atLeast)
    {
        using var late = new CancellationTokenSource(TimeSpan.FromSeconds(10));
        while (Published.Count < atLeast)
        {
            await Task.Delay(5, late.Token);
        }

        await Task.Delay(50, late.Token);
        return Published.Count;
    }

    /// <summary>Acknowledges the next ones.</summary>
    /// <param name="count">How many.</param>
    /// <param name="reason">0: taken; 0x80 and more: not.</param>
    public async Task AcknowledgeAsync(int count, byte reason = 0)
    {
        foreach (Packet packet in Published.Skip(_acknowledged).Take(count))
        {
            await _client!.SendAsync(new byte[] { 0x40, 0x03, (byte)(packet.Id >> 8), (byte)packet.Id, reason });
            _acknowledged++;
        }
    }

    public async ValueTask DisposeAsync()
    {
        _listener.Dispose();
        _client?.Dispose();
        await _running;
    }

    private async Task RunAsync()
    {
        try
        {
            _client = await _listener.AcceptSocketAsync();
            var reader = new PacketReader();
            byte[] buffer = new byte[65536];
            int count;
            while ((count = await _client.ReceiveAsync(buffer)) > 0)
            {
                foreach (Packet packet in reader.Read(buffer[..count]))
                {
                    if (packet.Kind == "CONNECT")
                    {
                        // CONNACK: no session, success, Receive Maximum (MQTT 5, 3.2.2.3.3).
                        await _client.SendAsync(new byte[] { 0x20, 0x06, 0, 0, 3, 0x21, (byte)(_receiveMaximum >> 8), (byte)_receiveMaximum });
                    }
                    else if (packet is { Kind: "PUBLISH", Quality: 1 })
                    {
                        lock (_gate)
                        {
                            _published.Add(packet);
                        }
                    }
                }
            }
        }
        catch (Exception end) when (end is SocketException or ObjectDisposedException)
        {
            // The test is over.
        }
    }
}
