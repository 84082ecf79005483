namespace ThermoWatch.Simulator.Wire;

/// <summary>A Modbus RTU slave on a serial line or pseudo-terminal: functions 02, 03 and 04 of one unit.</summary>
public sealed class ModbusRtuFace : IAsyncDisposable
{
    // Longer than 3.5 characters at any speed above 1200 baud, and than what an operating system splits.
    private const int SilenceMs = 30;
    private const int PatienceMs = 100;
    private readonly IRegisterSource _source;
    private readonly byte _unit;
    private readonly SerialService _service;

    private ModbusRtuFace(IRegisterSource source, SerialLine line, byte unit)
    {
        _source = source;
        _unit = unit;
        _service = new(line, Serve);
    }

    /// <summary>What a master opens.</summary>
    public string Name => _service.Name;

    /// <summary>Begins to serve; the line belongs to the face from now on.</summary>
    public static ModbusRtuFace Start(IRegisterSource source, SerialLine line, byte unit = 1)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(line);
        return new(source, line, unit);
    }

    /// <summary>Ends it and closes the line.</summary>
    public ValueTask DisposeAsync() => _service.DisposeAsync();

    private void Serve(SerialLine line, CancellationToken stop)
    {
        byte[] buffer = new byte[2 * RtuFraming.MaxLength];
        byte[] answer = new byte[RtuFraming.MaxLength + ModbusAnswer.MaxLength];
        int held = 0;
        while (!stop.IsCancellationRequested)
        {
            int read = line.Read(buffer.AsSpan(held), held > 0 ? SilenceMs : PatienceMs);
            held += read;
            int length = RtuFraming.ReadRequest(buffer.AsSpan(0, held));
            bool ended = held > 0 && (read == 0 || held == buffer.Length);
            if (length == 0 && !ended)
            {
                continue;
            }

            // Silence ends a frame of any length; what it leaves without a good check sum is noise and is not answered.
            length = length == 0 && RtuFraming.IsWhole(buffer.AsSpan(0, held)) ? held : length;
            if (length > 0)
            {
                Answer(line, buffer.AsSpan(0, length), answer);
            }

            int used = length > 0 ? length : held;
            buffer.AsSpan(used, held - used).CopyTo(buffer);
            held -= used;
        }
    }

    private void Answer(SerialLine line, ReadOnlySpan<byte> request, Span<byte> answer)
    {
        LineState state = _source.Line;
        if (state is LineState.Cut or LineState.Silent)
        {
            return;
        }

        int size = RtuFraming.Answer(request, _unit, _source, state == LineState.Refusing, answer);
        if (state == LineState.Garbled)
        {
            Garble.Bytes(answer[..size]);
        }

        line.Write(answer[..size]);
    }
}
