using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Modbus TCP over a link: each reply is matched by transaction, unit, function and length.</summary>
/// <param name="link">A TCP connection, or a stand-in.</param>
/// <param name="time">Clock of the deadlines.</param>
/// <param name="maxOutstanding">Requests sent before their answers have come: 1 to 16. Devices that take only one are common.</param>
/// <param name="mayWrite">Whether requests that change a unit may go out to it; null: to none.</param>
public sealed class ModbusTcpClient(ILink link, TimeProvider time, int maxOutstanding = 1, Func<byte, bool>? mayWrite = null) : IModbusClient
{
    private readonly byte[] _sendBuffer = new byte[maxOutstanding * Mbap.MaxLength];
    private readonly byte[] _received = new byte[16 * Mbap.MaxLength];
    private readonly bool[] _answered = new bool[maxOutstanding];
    private int _start, _end;
    private ushort _transaction;

    /// <inheritdoc/>
    public string Name => link.Name;

    /// <inheritdoc/>
    public bool IsOpen => link.IsOpen;

    /// <inheritdoc/>
    public ModbusCounters Counters { get; } = new();

    /// <inheritdoc/>
    public LinkResult Open(TimeSpan timeout)
    {
        _start = _end = 0;
        LinkResult opened = link.Open(timeout);
        if (opened.Status == LinkStatus.Done) Counters.Opened++;
        return opened;
    }

    /// <inheritdoc/>
    public ModbusExchange Exchange(byte unit, scoped in ModbusRequest request, TimeSpan timeout)
    {
        if (request.Writes && mayWrite?.Invoke(unit) != true) return ExchangeReasons.WritesOff(unit, time.GetTimestamp());
        ushort transaction = unchecked(++_transaction);
        int length = Mbap.Encode(transaction, unit, request, _sendBuffer);
        if (!Send(length, timeout, 1, out long sentAt, out LinkResult sent)) return Failed(sent, sentAt);
        bool waited = false;
        while (true)
        {
            if (!NextReply(sentAt, timeout, ref waited, out Mbap reply, out LinkResult failure)) return Failed(failure, sentAt);
            if (reply.Transaction == transaction) return Match(reply, unit, request, sentAt);
            Counters.Unmatched++;
        }
    }

    /// <inheritdoc/>
    public void ReadBlocks(byte unit, ReadOnlySpan<ReadBlock> blocks, TimeSpan timeout, IBlockReader reader)
    {
        for (int first = 0; first < blocks.Length; first += maxOutstanding)
        {
            int count = Math.Min(maxOutstanding, blocks.Length - first);
            if (ReadTogether(unit, blocks.Slice(first, count), first, timeout, reader, out LinkResult failure)) continue;
            long now = time.GetTimestamp();
            for (int rest = first + count; rest < blocks.Length; rest++) reader.OnBlock(rest, ExchangeReasons.NotTried(failure, now));
            return;
        }
    }

    /// <inheritdoc/>
    public void Close() => link.Close();

    /// <inheritdoc/>
    public void Abort() => link.Abort();

    /// <inheritdoc/>
    public void Dispose() => link.Dispose();

    private bool ReadTogether(
        byte unit, ReadOnlySpan<ReadBlock> blocks, int indexOfFirst, TimeSpan timeout, IBlockReader reader, out LinkResult failure)
    {
        ushort firstTransaction = unchecked((ushort)(_transaction + 1));
        int length = 0;
        foreach (ReadBlock block in blocks)
            length += Mbap.Encode(unchecked(++_transaction), unit, block.ToRequest(), _sendBuffer.AsSpan(length));

        Span<bool> answered = _answered.AsSpan(0, blocks.Length);
        answered.Clear();
        int open = blocks.Length;
        bool waited = false;
        bool sent = Send(length, timeout, blocks.Length, out long sentAt, out failure);
        while (sent && open > 0 && NextReply(sentAt, timeout, ref waited, out Mbap reply, out failure))
        {
            int index = unchecked((ushort)(reply.Transaction - firstTransaction));
            if (index >= blocks.Length || answered[index])
            {
                Counters.Unmatched++;
                continue;
            }

            answered[index] = true;
            open--;
            reader.OnBlock(indexOfFirst + index, Match(reply, unit, blocks[index].ToRequest(), sentAt));
        }

        if (open == 0) return true;
        for (int index = 0; index < blocks.Length; index++)
            if (!answered[index]) reader.OnBlock(indexOfFirst + index, Failed(failure, sentAt));
        return false;
    }

    private bool Send(int length, TimeSpan timeout, int requests, out long sentAt, out LinkResult result)
    {
        result = link.Write(_sendBuffer.AsSpan(0, length), timeout);
        sentAt = time.GetTimestamp();
        if (result.Status != LinkStatus.Done) return false;
        Counters.Requests += requests;
        return true;
    }

    /// <summary>Waits for the next whole ADU; it then lies before <c>_start</c>.</summary>
    private bool NextReply(long sentAt, TimeSpan timeout, ref bool waited, out Mbap reply, out LinkResult failure)
    {
        while (true)
        {
            reply = Mbap.Parse(_received.AsSpan(_start, _end - _start));
            failure = default;
            if (reply.Status == MbapStatus.Whole)
            {
                _start += reply.Length;
                return true;
            }

            if (reply.Status == MbapStatus.Broken)
            {
                Counters.Garbled++;
                link.Close();
                failure = LinkResult.Closed($"{Name} sent bytes that are not Modbus TCP, so the connection was closed. If it is a gateway, try Modbus RTU over TCP.");
                return false;
            }

            Compact();
            // The whole time-out on the first read spares a clock reading, and the socket a new limit on every poll.
            TimeSpan left = waited ? timeout - time.GetElapsedTime(sentAt) : timeout;
            waited = true;
            failure = left > TimeSpan.Zero ? link.Read(_received.AsSpan(_end), left) : LinkResult.TimedOut;
            if (failure.Status != LinkStatus.Done) return false;
            _end += failure.Count;
        }
    }

    private ModbusExchange Match(Mbap reply, byte unit, scoped in ModbusRequest request, long sentAt)
    {
        long now = time.GetTimestamp();
        if (reply.Unit != unit) return Garbled(ExchangeReasons.WrongUnit(unit, reply.Unit), sentAt, now);
        ReadOnlySpan<byte> pdu = _received.AsSpan(_start - reply.Length + Mbap.HeaderLength, reply.Length - Mbap.HeaderLength);
        PduReply parsed = PduReply.Parse(pdu, request);
        if (parsed.Status is not (ReplyStatus.Ok or ReplyStatus.Refused)) return Garbled(ExchangeReasons.Of(parsed.Status), sentAt, now);
        Counters.Replies++;
        return ExchangeReasons.Answered(parsed, sentAt, now);
    }

    private ModbusExchange Garbled(string reason, long sentAt, long now)
    {
        Counters.Garbled++;
        return new() { Status = ExchangeStatus.Garbled, Reason = reason, SentAt = sentAt, EndedAt = now };
    }

    private ModbusExchange Failed(LinkResult failure, long sentAt)
    {
        if (failure.Status == LinkStatus.TimedOut) Counters.TimeOuts++;
        return ExchangeReasons.NotTried(failure, sentAt, time.GetTimestamp());
    }

    private void Compact()
    {
        if (_start == _end)
        {
            _start = _end = 0;
        }
        else if (_received.Length - _start < Mbap.MaxLength)
        {
            _received.AsSpan(_start, _end - _start).CopyTo(_received);
            (_start, _end) = (0, _end - _start);
        }
    }
}
