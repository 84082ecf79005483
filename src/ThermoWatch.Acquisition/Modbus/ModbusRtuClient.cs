using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Modbus RTU over a serial port, or over the socket of a gateway that passes bytes through.</summary>
public sealed class ModbusRtuClient : IModbusClient
{
    /// <summary>What devices need to carry out a broadcast before they can listen again. Common practice: 100 to 200 ms at 9600 Bd.</summary>
    private static readonly TimeSpan Turnaround = TimeSpan.FromMilliseconds(150);

    private readonly byte[] _frame = new byte[Rtu.MaxLength];
    private readonly byte[] _received = new byte[2 * Rtu.MaxLength];
    private readonly LineSilence _silence;
    private readonly LineEar _ear;
    private readonly ILink _link;
    private readonly TimeProvider _time;
    private readonly Func<byte, bool>? _mayWrite;
    private long _lastByteAt;

    /// <param name="link">The line.</param>
    /// <param name="time">Clock of the deadlines.</param>
    /// <param name="frameGap">Silence between two frames: 3.5 characters on a serial line, none on a socket.</param>
    /// <param name="mayWrite">Whether requests that change a unit may go out to it; null: to none.</param>
    public ModbusRtuClient(ILink link, TimeProvider time, TimeSpan frameGap, Func<byte, bool>? mayWrite = null)
    {
        _link = link;
        _time = time;
        _mayWrite = mayWrite;
        _ear = new LineEar(link, time, Counters);
        _silence = new LineSilence(link, time, frameGap, _ear, Counters);
    }

    /// <inheritdoc/>
    public string Name => _link.Name;

    /// <inheritdoc/>
    public bool IsOpen => _link.IsOpen;

    /// <inheritdoc/>
    public string? Disturbance => _ear.Disturbance;

    /// <inheritdoc/>
    public ModbusCounters Counters { get; } = new();

    /// <inheritdoc/>
    public LinkResult Open(TimeSpan timeout)
    {
        _silence.Reset();
        LinkResult opened = _link.Open(timeout);
        if (opened.Status == LinkStatus.Done) Counters.Opened++;
        return opened;
    }

    /// <inheritdoc/>
    public ModbusExchange Exchange(byte unit, scoped in ModbusRequest request, TimeSpan timeout)
    {
        if (request.Writes && _mayWrite?.Invoke(unit) != true) return ExchangeReasons.WritesOff(unit, _time.GetTimestamp());
        LinkResult quiet = _silence.Await(unit);
        if (quiet.Status != LinkStatus.Done) return ExchangeReasons.NotTried(quiet, _time.GetTimestamp());
        int length = Rtu.Encode(unit, request, _frame);
        _ear.Sent(unit, _frame.AsSpan(0, length));
        LinkResult sent = _link.Write(_frame.AsSpan(0, length), timeout);
        long sentAt = _time.GetTimestamp();
        _silence.Noted(sentAt);
        if (sent.Status != LinkStatus.Done) return ExchangeReasons.NotTried(sent, sentAt);
        Counters.Requests++;
        return unit == 0 ? AfterBroadcast(sentAt) : Receive(unit, request, length, timeout, sentAt);
    }

    /// <inheritdoc/>
    public void ReadBlocks(byte unit, ReadOnlySpan<ReadBlock> blocks, TimeSpan timeout, IBlockReader reader)
    {
        for (int i = 0; i < blocks.Length; i++)
        {
            ModbusExchange exchange = Exchange(unit, blocks[i].ToRequest(), timeout);
            reader.OnBlock(i, exchange);
            if (exchange.Status is not (ExchangeStatus.TimedOut or ExchangeStatus.Closed)) continue;
            for (int rest = i + 1; rest < blocks.Length; rest++) reader.OnBlock(rest, exchange);
            return;
        }
    }

    /// <summary>Listens without asking: what comes on a line with one master is nobody's.</summary>
    /// <param name="span">How long.</param>
    /// <returns>The bytes heard, at most as many as a frame has; who they come from is in <see cref="Disturbance"/>.</returns>
    public ReadOnlySpan<byte> Listen(TimeSpan span)
    {
        long began = _time.GetTimestamp();
        int count = 0;
        TimeSpan left = span;
        while (left > TimeSpan.Zero && count < Rtu.MaxLength)
        {
            LinkResult read = _link.Read(_received.AsSpan(count, Rtu.MaxLength - count), left);
            if (read.Status != LinkStatus.Done) break;
            count += read.Count;
            left = span - _time.GetElapsedTime(began);
        }

        _ear.Hear(_received.AsSpan(0, count));
        return _received.AsSpan(0, count);
    }

    /// <inheritdoc/>
    public void Close() => _link.Close();

    /// <inheritdoc/>
    public void Abort() => _link.Abort();

    /// <inheritdoc/>
    public void Dispose() => _link.Dispose();

    private ModbusExchange Receive(byte unit, scoped in ModbusRequest request, int requestLength, TimeSpan timeout, long sentAt)
    {
        int start = 0, end = 0;
        TimeSpan left = timeout; // the whole on the first read: a clock reading less on every poll
        while (true)
        {
            LinkResult read = left > TimeSpan.Zero ? _link.Read(_received.AsSpan(end), left) : LinkResult.TimedOut;
            if (read.Status != LinkStatus.Done) return Missing(read, end - start, unit, timeout, sentAt);
            end += read.Count;
            _lastByteAt = _time.GetTimestamp();
            _silence.Noted(_lastByteAt);
            if (start == 0 && MayBeEcho(request, Math.Min(end, requestLength)))
            {
                if (end >= requestLength)
                {
                    Counters.Echoes++;
                    start = requestLength;
                }
                else if (end >= 3)
                {
                    // Its third byte is an address, not a count: it must not be taken for a short frame with a bad check.
                    left = timeout - _time.GetElapsedTime(sentAt, _lastByteAt);
                    continue;
                }
            }

            Rtu reply = Rtu.Parse(_received.AsSpan(start, end - start));
            while (reply.Status == RtuStatus.Whole && reply.Unit != unit && _silence.IsLateReplyOf(reply.Unit, _lastByteAt))
            {
                start += reply.Length;
                reply = Rtu.Parse(_received.AsSpan(start, end - start));
            }

            if (reply.Status == RtuStatus.Whole)
            {
                if (start + reply.Length < end) _ear.Hear(_received.AsSpan(start + reply.Length, end - start - reply.Length));
                return Match(reply, start, unit, request, timeout, sentAt);
            }

            if (reply.Status != RtuStatus.NeedMore || end == _received.Length)
            {
                _ear.Hear(_received.AsSpan(start, end - start));
                return Garbled(_ear.Disturbance is null ? Noise : Collision, unit, timeout, sentAt);
            }

            left = timeout - _time.GetElapsedTime(sentAt, _lastByteAt);
        }
    }

    // Some transceivers hear what they send. A reply with registers has an odd length, so it can never equal our 8 bytes.
    private bool MayBeEcho(scoped in ModbusRequest request, int length) =>
        request.Function is ModbusFunction.ReadHoldingRegisters or ModbusFunction.ReadInputRegisters
        && _received.AsSpan(0, length).SequenceEqual(_frame.AsSpan(0, length));

    private ModbusExchange Match(Rtu reply, int start, byte unit, scoped in ModbusRequest request, TimeSpan timeout, long sentAt)
    {
        if (reply.Unit != unit)
        {
            _ear.HearReply(reply.Unit);
            return Garbled(ExchangeReasons.WrongUnit(unit, reply.Unit), unit, timeout, sentAt);
        }

        PduReply parsed = PduReply.Parse(_received.AsSpan(start + Rtu.HeaderLength, reply.Length - Rtu.HeaderLength - Rtu.CrcLength), request);
        if (parsed.Status is not (ReplyStatus.Ok or ReplyStatus.Refused)) return Garbled(ExchangeReasons.Of(parsed.Status), unit, timeout, sentAt);
        Counters.Replies++;
        return ExchangeReasons.Answered(parsed, sentAt, _lastByteAt);
    }

    private const string Collision = "the bytes are the frame of another master on the line";

    private const string Noise = "the bytes are no Modbus frame; check baud rate, parity and unit numbers, the line's shield and end resistors, and that no second master is on the line";

    private ModbusExchange Garbled(string reason, byte unit, TimeSpan timeout, long sentAt)
    {
        Counters.Garbled++;
        _silence.Expect(unit, sentAt + Timestamps(2 * timeout)); // what came may have been somebody else's: ours may still be on its way
        return new() { Status = ExchangeStatus.Garbled, Reason = reason, SentAt = sentAt, EndedAt = _lastByteAt };
    }

    private ModbusExchange Missing(LinkResult read, int received, byte unit, TimeSpan timeout, long sentAt)
    {
        if (read.Status == LinkStatus.TimedOut && received > 0) return Garbled($"the answer breaks off after {received} bytes; check baud rate, parity and the line", unit, timeout, sentAt);
        if (read.Status == LinkStatus.TimedOut) Counters.TimeOuts++;
        _silence.Expect(unit, sentAt + Timestamps(2 * timeout));
        return ExchangeReasons.NotTried(read, sentAt, _time.GetTimestamp());
    }

    private ModbusExchange AfterBroadcast(long sentAt)
    {
        // Nobody may answer; whatever comes is not for us.
        LinkResult heard = _link.Read(_received, Turnaround);
        return heard.Status is LinkStatus.Done or LinkStatus.TimedOut
            ? new() { Status = ExchangeStatus.Ok, SentAt = sentAt, EndedAt = _time.GetTimestamp() }
            : ExchangeReasons.NotTried(heard, sentAt, _time.GetTimestamp());
    }

    private long Timestamps(TimeSpan span) => (long)(span.TotalSeconds * _time.TimestampFrequency);
}
