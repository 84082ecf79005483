using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Acquisition.Tests.Peers;

/// <summary>A slave on a loopback socket that says what its script says, in raw bytes: right, late, wrong, cut, or nothing.</summary>
internal sealed class ScriptedPeer : IDisposable
{
    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _stop = new();
    private readonly List<Socket> _open = [];

    /// <param name="script">Gets the number of the connection from 1, the request's bytes, and the socket to answer on.</param>
    /// <param name="port">0: a free one.</param>
    public ScriptedPeer(Func<int, byte[], Socket, Task> script, int port = 0)
    {
        _listener = new TcpListener(IPAddress.Loopback, port);
        _listener.Server.SetSocketOption(SocketOptionLevel.Socket, SocketOptionName.ReuseAddress, true);
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _ = AcceptAsync(script);
    }

    public int Port { get; }

    public int Connections { get; private set; }

    public int Requests { get; private set; }

    /// <summary>A reply to a Modbus TCP request for registers, each register its own address plus an offset.</summary>
    public static byte[] Reply(byte[] request, int offset = 0)
    {
        int address = (request[8] << 8) | request[9], quantity = (request[10] << 8) | request[11];
        List<byte> reply = [request[0], request[1], 0, 0, 0, (byte)(3 + (2 * quantity)), request[6], request[7], (byte)(2 * quantity)];
        for (int i = 0; i < quantity; i++)
        {
            reply.Add((byte)(((address + i + offset) >> 8) & 0xFF));
            reply.Add((byte)((address + i + offset) & 0xFF));
        }

        return [.. reply];
    }

    /// <summary>Breaks all connections with a reset, as a device does that loses power and comes back.</summary>
    public void Reset()
    {
        lock (_open)
        {
            foreach (Socket socket in _open) socket.Close(0);
            _open.Clear();
        }
    }

    /// <summary>Stops listening and hangs up; calling it twice does no harm.</summary>
    public void Dispose()
    {
        _stop.Cancel();
        _listener.Stop();
        Reset();
    }

    private async Task AcceptAsync(Func<int, byte[], Socket, Task> script)
    {
        try
        {
            while (true)
            {
                Socket socket = await _listener.AcceptSocketAsync(_stop.Token);
                lock (_open) _open.Add(socket);
                Connections++;
                _ = ServeAsync(Connections, socket, script);
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // Stopped: nobody is left to answer.
        }
    }

    private async Task ServeAsync(int connection, Socket socket, Func<int, byte[], Socket, Task> script)
    {
        try
        {
            while (true)
            {
                byte[] header = await ReadAsync(socket, 6);
                if (header.Length == 0) return;
                byte[] request = [.. header, .. await ReadAsync(socket, header[5])];
                Requests++;
                await script(connection, request, socket);
            }
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            // The client hung up, or the test reset the connection.
        }
    }

    private static async Task<byte[]> ReadAsync(Socket socket, int count)
    {
        byte[] bytes = new byte[count];
        for (int have = 0; have < count;)
        {
            int got = await socket.ReceiveAsync(bytes.AsMemory(have));
            if (got == 0) return [];
            have += got;
        }

        return bytes;
    }
}
