using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Simulator.Wire;

/// <summary>A Modbus TCP slave: functions 03 and 04, any unit, many clients.</summary>
public sealed class ModbusTcpFace : IAsyncDisposable
{
    private const byte Scramble = 0x5A;
    private readonly IRegisterSource _source;
    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _stop = new();
    private readonly ConcurrentDictionary<Socket, Task> _clients = new();
    private readonly Task _accepting;

    private ModbusTcpFace(IRegisterSource source, TcpListener listener)
    {
        _source = source;
        _listener = listener;
        Endpoint = (IPEndPoint)listener.LocalEndpoint;
        _accepting = AcceptAsync();
    }

    /// <summary>Where it listens.</summary>
    public IPEndPoint Endpoint { get; }

    /// <summary>Port it listens on.</summary>
    public int Port => Endpoint.Port;

    /// <summary>Begins to listen on an address; port 0 takes a free one.</summary>
    /// <exception cref="SocketException">The port is in use or may not be used.</exception>
    public static ModbusTcpFace Start(IRegisterSource source, IPEndPoint endpoint)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(endpoint);
        var listener = new TcpListener(endpoint);
        listener.Start();
        return new(source, listener);
    }

    /// <summary>Begins to listen for a cell that lives by a clock, from where it stands.</summary>
    /// <exception cref="SocketException">The port is in use or may not be used.</exception>
    public static ModbusTcpFace Start(SimulatedCell cell, IPEndPoint endpoint, TimeProvider time) =>
        Start(new CellRegisters(new LiveCell(cell, time)), endpoint);

    /// <summary>Closes all connections and the port.</summary>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        _listener.Stop();
        foreach (Socket client in _clients.Keys)
        {
            client.Dispose();
        }

        await _accepting;
        await Task.WhenAll(_clients.Values);
        _stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        while (!_stop.IsCancellationRequested)
        {
            Socket client;
            try
            {
                client = await _listener.AcceptSocketAsync(_stop.Token);
            }
            catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
            {
                // A connection that was gone before it was taken does not end the listening; a stopped listener does.
                continue;
            }

            client.NoDelay = true;
            _clients[client] = Task.CompletedTask;
            Task serving = Task.Run(() => ServeAsync(client));
            _clients.TryUpdate(client, serving, Task.CompletedTask);
        }
    }

    private async Task ServeAsync(Socket client)
    {
        byte[] buffer = new byte[4 * MbapFraming.MaxLength];
        byte[] answer = new byte[MbapFraming.HeaderLength + ModbusAnswer.MaxLength];
        int held = 0;
        try
        {
            while (_source.Line != LineState.Cut)
            {
                int read = await client.ReceiveAsync(buffer.AsMemory(held), _stop.Token);
                if (read == 0)
                {
                    return;
                }

                held += read;
                int used = 0;
                MbapFront front;
                while ((front = MbapFraming.Look(buffer.AsSpan(used, held - used), out int length)) == MbapFront.Request)
                {
                    int size = Answer(buffer.AsSpan(used, length), answer);
                    used += length;
                    if (size < 0)
                    {
                        return;
                    }

                    await SendAsync(client, answer.AsMemory(0, size));
                }

                if (front == MbapFront.Broken)
                {
                    return;
                }

                buffer.AsSpan(used, held - used).CopyTo(buffer);
                held -= used;
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The client went away, or the face is being closed: either way this connection is over.
        }
        finally
        {
            _clients.TryRemove(client, out _);
            client.Dispose();
        }
    }

    private async Task SendAsync(Socket client, ReadOnlyMemory<byte> bytes)
    {
        while (!bytes.IsEmpty)
        {
            bytes = bytes[await client.SendAsync(bytes, _stop.Token)..];
        }
    }

    // Length of the answer; 0 to say nothing, below 0 to drop the connection.
    private int Answer(ReadOnlySpan<byte> request, Span<byte> answer)
    {
        LineState line = _source.Line;
        if (line is LineState.Silent or LineState.Cut)
        {
            return line == LineState.Cut ? -1 : 0;
        }

        int size = MbapFraming.Answer(request, _source, line == LineState.Refusing, answer);
        if (line == LineState.Garbled)
        {
            for (int i = 2; i < size; i++)
            {
                answer[i] ^= (byte)(Scramble + i);
            }
        }

        return size;
    }
}
