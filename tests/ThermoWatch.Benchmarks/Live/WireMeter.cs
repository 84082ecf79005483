using System.Buffers.Binary;
using System.Net.Sockets;
using System.Security.Cryptography;
using System.Text;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>A WebSocket client that only counts: the size on the wire of every frame that the server sends (RFC 6455, 5.2).</summary>
internal static class WireMeter
{
    /// <summary>Sizes in bytes, headers included, of the frames that come within a time.</summary>
    /// <param name="port">Port on localhost.</param>
    /// <param name="watch">What to send once the hub has shaken hands, as a complete hub message; empty: nothing.</param>
    /// <param name="handshake">Text of the hub handshake; empty: a plain WebSocket, which has none.</param>
    /// <param name="deflate">Whether to offer permessage-deflate, as browsers do.</param>
    /// <param name="time">How long to listen.</param>
    public static async Task<List<int>> ListenAsync(int port, string handshake, byte[] watch, bool deflate, TimeSpan time)
    {
        using TcpClient client = await OpenAsync(port, handshake, watch, deflate);
        using var end = new CancellationTokenSource(time);
        return await ListenAsync(client, end.Token);
    }

    /// <summary>Connects and asks; whoever does not read on is a viewer that has stalled.</summary>
    /// <inheritdoc cref="ListenAsync(int, string, byte[], bool, TimeSpan)"/>
    public static async Task<TcpClient> OpenAsync(int port, string handshake, byte[] watch, bool deflate)
    {
        var client = new TcpClient { NoDelay = true, ReceiveBufferSize = 8192 };
        await client.ConnectAsync("localhost", port);
        NetworkStream stream = client.GetStream();
        string key = Convert.ToBase64String(RandomNumberGenerator.GetBytes(16));
        string extension = deflate ? "Sec-WebSocket-Extensions: permessage-deflate; client_max_window_bits\r\n" : "";
        string path = handshake.Length == 0 ? "/ws" : "/hubs/live";
        await stream.WriteAsync(Encoding.ASCII.GetBytes(
            $"GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n" +
            $"Sec-WebSocket-Key: {key}\r\nSec-WebSocket-Version: 13\r\n{extension}\r\n"));
        await SkipHeadersAsync(stream);
        if (handshake.Length > 0)
        {
            await SendAsync(stream, Encoding.UTF8.GetBytes(handshake + "\u001e"), text: true);
        }

        if (watch.Length > 0)
        {
            await SendAsync(stream, watch, text: false);
        }

        return client;
    }

    /// <summary>Sends a complete hub message.</summary>
    public static Task SayAsync(TcpClient client, byte[] message) => SendAsync(client.GetStream(), message, text: false);

    /// <summary>Sizes in bytes, headers included, of the frames that come until the end.</summary>
    public static async Task<List<int>> ListenAsync(TcpClient client, CancellationToken end)
    {
        NetworkStream stream = client.GetStream();
        byte[] rest = new byte[1 << 16];
        List<int> sizes = [];
        byte[] header = new byte[10];
        try
        {
            while (true)
            {
                await stream.ReadExactlyAsync(header.AsMemory(0, 2), end);
                int more = (header[1] & 0x7F) switch { 126 => 2, 127 => 8, _ => 0 };
                await stream.ReadExactlyAsync(header.AsMemory(2, more), end);
                long length = more switch
                {
                    2 => BinaryPrimitives.ReadUInt16BigEndian(header.AsSpan(2)),
                    8 => BinaryPrimitives.ReadInt64BigEndian(header.AsSpan(2)),
                    _ => header[1] & 0x7F,
                };
                for (long left = length; left > 0; left -= Math.Min(left, rest.Length))
                {
                    await stream.ReadExactlyAsync(rest.AsMemory(0, (int)Math.Min(left, rest.Length)), end);
                }

                sizes.Add((int)length + 2 + more);
            }
        }
        catch (OperationCanceledException)
        {
            return sizes;
        }
    }

    private static async Task SkipHeadersAsync(NetworkStream stream)
    {
        byte[] one = new byte[1];
        int ends = 0;
        while (ends < 4)
        {
            await stream.ReadExactlyAsync(one);
            ends = one[0] is (byte)'\r' or (byte)'\n' ? ends + 1 : 0;
        }
    }

    private static async Task SendAsync(NetworkStream stream, byte[] payload, bool text)
    {
        if (payload.Length > 125)
        {
            throw new ArgumentException("Longer than this meter needs to send.", nameof(payload));
        }

        byte[] frame = new byte[6 + payload.Length];
        frame[0] = (byte)(0x80 | (text ? 1 : 2));
        frame[1] = (byte)(0x80 | payload.Length);
        payload.CopyTo(frame, 6); // masked with four zero bytes: allowed, and the payload stays as it is
        await stream.WriteAsync(frame);
    }
}
