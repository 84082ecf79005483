using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Simulator.Wire;

/// <summary>A Modbus TCP slave: functions 02, 03 and 04, any unit, many clients.</summary>
public sealed class ModbusTcpFace : IAsyncDisposable
{
    private readonly IRegisterSource _source;
    private readonly TcpService _service;

    private ModbusTcpFace(IRegisterSource source, IPEndPoint endpoint)
    {
        _source = source;
        _service = new(endpoint, ServeAsync);
    }

    /// <summary>Where it listens.</summary>
    public IPEndPoint Endpoint => _service.Endpoint;

    /// <summary>Port it listens on.</summary>
    public int Port => Endpoint.Port;

    /// <summary>Begins to listen on an address; port 0 takes a free one.</summary>
    /// <exception cref="SocketException">The port is in use or may not be used.</exception>
    public static ModbusTcpFace Start(IRegisterSource source, IPEndPoint endpoint)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(endpoint);
        return new(source, endpoint);
    }

    /// <summary>Begins to listen for a cell that lives by a clock, from where it stands.</summary>
    /// <exception cref="SocketException">The port is in use or may not be used.</exception>
    public static ModbusTcpFace Start(SimulatedCell cell, IPEndPoint endpoint, TimeProvider time) =>
        Start(new CellRegisters(new LiveCell(cell, time)), endpoint);

    /// <summary>Closes all connections and the port.</summary>
    public ValueTask DisposeAsync() => _service.DisposeAsync();

    private async Task ServeAsync(Socket client, CancellationToken stop)
    {
        byte[] buffer = new byte[4 * MbapFraming.MaxLength];
        byte[] answer = new byte[MbapFraming.HeaderLength + ModbusAnswer.MaxLength];
        int held = 0;
        while (_source.Line != LineState.Cut)
        {
            int read = await client.ReceiveAsync(buffer.AsMemory(held), stop);
            if (read == 0)
            {
                return;
            }

            held += read;
            int used = 0;
            MbapFront front;
            while ((front = MbapFraming.Look(buffer.AsSpan(used, held - used), out int length)) == MbapFront.Request)
            {
                if (Answer(buffer.AsSpan(used, length), answer) is not { } size)
                {
                    return;
                }

                used += length;
                await TcpService.SendAsync(client, answer.AsMemory(0, size), stop);
            }

            if (front == MbapFront.Broken)
            {
                return;
            }

            buffer.AsSpan(used, held - used).CopyTo(buffer);
            held -= used;
        }
    }

    // Length of the answer, 0 to say nothing, null to drop the connection.
    private int? Answer(ReadOnlySpan<byte> request, Span<byte> answer)
    {
        LineState line = _source.Line;
        if (line is LineState.Silent or LineState.Cut)
        {
            return line == LineState.Cut ? null : 0;
        }

        int size = MbapFraming.Answer(request, _source, line == LineState.Refusing, answer);
        if (line == LineState.Garbled)
        {
            Garble.Bytes(answer[2..size]); // the transaction stays, so that it is the answer that is wrong
        }

        return size;
    }
}
