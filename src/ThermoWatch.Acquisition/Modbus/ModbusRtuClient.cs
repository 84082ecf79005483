using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Modbus RTU over a serial port, or over the socket of a gateway that passes bytes through.</summary>
/// <remarks>
/// A serial reply bears no number, so a late one looks like the answer to the same question asked again. Before anything is sent the
/// line must therefore have been quiet, and after a time-out for as long again as the time-out was, or until the late reply has passed.
/// </remarks>
/// <param name="link">The line.</param>
/// <param name="time">Clock of the deadlines.</param>
/// <param name="frameGap">Silence between two frames: 3.5 characters on a serial line, none on a socket.</param>
/// <param name="allowWrites">Whether requests that change the device may go out.</param>
public sealed class ModbusRtuClient(ILink link, TimeProvider time, TimeSpan frameGap, bool allowWrites = false) : IModbusClient
{
    /// <summary>What devices need to carry out a broadcast before they can listen again. Common practice: 100 to 200 ms at 9600 Bd.</summary>
    private static readonly TimeSpan Turnaround = TimeSpan.FromMilliseconds(150);

    private readonly byte[] _frame = new byte[Rtu.MaxLength];
    private readonly byte[] _received = new byte[2 * Rtu.MaxLength];
    private long _lastByteAt, _lateUntil;
    private bool _replyMissing;

    /// <inheritdoc/>
    public string Name => link.Name;

    /// <inheritdoc/>
    public bool IsOpen => link.IsOpen;

    /// <inheritdoc/>
    public ModbusCounters Counters { get; } = new();

    /// <inheritdoc/>
    public LinkResult Open(TimeSpan timeout)
    {
        _replyMissing = false;
        LinkResult opened = link.Open(timeout);
        if (opened.Status == LinkStatus.Done) Counters.Opened++;
        return opened;
    }

    /// <inheritdoc/>
    public ModbusExchange Exchange(byte unit, scoped in ModbusRequest request, TimeSpan timeout)
    {
        if (request.Writes && !allowWrites) return ExchangeReasons.WritesOff(time.GetTimestamp());
        LinkResult quiet = AwaitQuiet();
        if (quiet.Status != LinkStatus.Done) return ExchangeReasons.NotTried(quiet, time.GetTimestamp());
        int length = Rtu.Encode(unit, request, _frame);
        LinkResult sent = link.Write(_frame.AsSpan(0, length), timeout);
        long sentAt = _lastByteAt = time.GetTimestamp();
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

    /// <inheritdoc/>
    public void Close() => link.Close();

    /// <inheritdoc/>
    public void Abort() => link.Abort();

    /// <inheritdoc/>
    public void Dispose() => link.Dispose();

    private ModbusExchange Receive(byte unit, scoped in ModbusRequest request, int requestLength, TimeSpan timeout, long sentAt)
    {
        int start = 0, end = 0;
        TimeSpan left = timeout; // the whole on the first read: a clock reading less on every poll
        while (true)
        {
            LinkResult read = left > TimeSpan.Zero ? link.Read(_received.AsSpan(end), left) : LinkResult.TimedOut;
            if (read.Status != LinkStatus.Done) return Missing(read, end - start, timeout, sentAt);
            end += read.Count;
            _lastByteAt = time.GetTimestamp();
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
                    left = timeout - time.GetElapsedTime(sentAt, _lastByteAt);
                    continue;
                }
            }

            Rtu reply = Rtu.Parse(_received.AsSpan(start, end - start));
            if (reply.Status == RtuStatus.Whole) return Match(reply, start, unit, request, timeout, sentAt);
            if (reply.Status != RtuStatus.NeedMore || end == _received.Length) return Garbled(Noise, timeout, sentAt);
            left = timeout - time.GetElapsedTime(sentAt, _lastByteAt);
        }
    }

    // Some transceivers hear what they send. A reply with registers has an odd length, so it can never equal our 8 bytes.
    private bool MayBeEcho(scoped in ModbusRequest request, int length) =>
        request.Function is ModbusFunction.ReadHoldingRegisters or ModbusFunction.ReadInputRegisters
        && _received.AsSpan(0, length).SequenceEqual(_frame.AsSpan(0, length));

    private ModbusExchange Match(Rtu reply, int start, byte unit, scoped in ModbusRequest request, TimeSpan timeout, long sentAt)
    {
        if (reply.Unit != unit) return Garbled(ExchangeReasons.WrongUnit(unit, reply.Unit), timeout, sentAt);
        PduReply parsed = PduReply.Parse(_received.AsSpan(start + Rtu.HeaderLength, reply.Length - Rtu.HeaderLength - Rtu.CrcLength), request);
        if (parsed.Status is not (ReplyStatus.Ok or ReplyStatus.Refused)) return Garbled(ExchangeReasons.Of(parsed.Status), timeout, sentAt);
        Counters.Replies++;
        _replyMissing = false;
        return ExchangeReasons.Answered(parsed, sentAt, _lastByteAt);
    }

    private const string Noise = "the bytes are no Modbus frame; check baud rate, parity and unit numbers, the line's shield and end resistors, and that no second master is on the line";

    private ModbusExchange Garbled(string reason, TimeSpan timeout, long sentAt)
    {
        Counters.Garbled++;
        ExpectLateReply(timeout, sentAt); // what came may have been somebody else's: ours may still be on its way
        return new() { Status = ExchangeStatus.Garbled, Reason = reason, SentAt = sentAt, EndedAt = _lastByteAt };
    }

    private ModbusExchange Missing(LinkResult read, int received, TimeSpan timeout, long sentAt)
    {
        if (read.Status == LinkStatus.TimedOut && received > 0) return Garbled($"the answer breaks off after {received} bytes; check baud rate, parity and the line", timeout, sentAt);
        if (read.Status == LinkStatus.TimedOut) Counters.TimeOuts++;
        ExpectLateReply(timeout, sentAt);
        return ExchangeReasons.NotTried(read, sentAt, time.GetTimestamp());
    }

    private void ExpectLateReply(TimeSpan timeout, long sentAt)
    {
        _replyMissing = true;
        _lateUntil = sentAt + Timestamps(2 * timeout);
    }

    private ModbusExchange AfterBroadcast(long sentAt)
    {
        // Nobody may answer; whatever comes is not for us.
        LinkResult heard = link.Read(_received, Turnaround);
        return heard.Status is LinkStatus.Done or LinkStatus.TimedOut
            ? new() { Status = ExchangeStatus.Ok, SentAt = sentAt, EndedAt = time.GetTimestamp() }
            : ExchangeReasons.NotTried(heard, sentAt, time.GetTimestamp());
    }

    /// <summary>A late reply may come in pieces so far apart: USB adapters deliver in blocks of up to 16 ms.</summary>
    private static readonly TimeSpan AdapterBlock = TimeSpan.FromMilliseconds(20);

    /// <summary>Waits until a frame may be sent, and drops all that comes meanwhile.</summary>
    private LinkResult AwaitQuiet()
    {
        link.DiscardInput();
        long began = time.GetTimestamp();
        bool heard = false;
        while (true)
        {
            long now = time.GetTimestamp();
            TimeSpan silence = time.GetElapsedTime(_lastByteAt, now);
            TimeSpan left = (heard && frameGap < AdapterBlock ? AdapterBlock : frameGap) - silence;
            if (_replyMissing && !heard)
            {
                TimeSpan late = time.GetElapsedTime(now, _lateUntil);
                if (late > left) left = late;
            }

            if (left <= TimeSpan.Zero) break;
            LinkResult read = link.Read(_received, left);
            if (read.Status == LinkStatus.TimedOut) continue;
            if (read.Status != LinkStatus.Done) return read;
            if (!heard) Counters.Unmatched++;
            heard = true;
            _lastByteAt = time.GetTimestamp();
            if (time.GetElapsedTime(began) > LongestBabble) return LinkResult.Closed(Babble());
        }

        _replyMissing = false;
        return LinkResult.Done();
    }

    /// <summary>A line on which somebody talks without end is given up: no frame of any device lasts so long.</summary>
    private static readonly TimeSpan LongestBabble = TimeSpan.FromSeconds(3);

    private string Babble()
    {
        link.Close();
        return $"Somebody talks on {Name} without a pause. Check the baud rate, and that no second master and no device that talks unasked is on the line.";
    }

    private long Timestamps(TimeSpan span) => (long)(span.TotalSeconds * time.TimestampFrequency);
}
