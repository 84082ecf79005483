using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Polling;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>A client on a line that is being polled: each exchange takes place in the spare time between two polls.</summary>
/// <param name="client">The line's own client, which its bus lends.</param>
/// <param name="loans">Where it is borrowed.</param>
/// <param name="least">Less time than this is of no use for one exchange.</param>
/// <param name="time">Clock of the deadlines.</param>
/// <param name="stop">Ends a wait for the line.</param>
internal sealed class VisitingClient(IModbusClient client, LineLoans loans, TimeSpan least, TimeProvider time, CancellationToken stop) : IModbusClient
{
    private readonly byte[] _data = new byte[ModbusRequest.MaxPduLength];
    private long _notBefore;

    /// <summary>Whether answers had less time than the device's time-out, because the next poll was due.</summary>
    public bool CutShort { get; private set; }

    public string Name => client.Name;

    public bool IsOpen => true;

    /// <summary>Nothing is counted here: the line's own client counts.</summary>
    public ModbusCounters Counters { get; } = new();

    public string? Disturbance => client.Disturbance;

    public LinkResult Open(TimeSpan timeout)
    {
        using LineLoan loan = loans.Borrow(TimeSpan.Zero, TimeSpan.Zero, stop);
        return loan.Refusal is { } why ? LinkResult.CannotOpen(why) : LinkResult.Done();
    }

    public ModbusExchange Exchange(byte unit, scoped in ModbusRequest request, TimeSpan timeout)
    {
        if (request.Writes) return ExchangeReasons.WritesOff(unit, time.GetTimestamp());

        // A serial line does not ask a silent unit again before its late answer has passed: that wait must not fall into a poll.
        TimeSpan wait = time.GetElapsedTime(time.GetTimestamp(), _notBefore);
        if (wait > TimeSpan.Zero) stop.WaitHandle.WaitOne(wait);
        TimeSpan room = timeout < least ? timeout : least;
        using LineLoan loan = loans.Borrow(timeout, room, stop);
        if (loan.Refusal is { } why) return ExchangeReasons.NotTried(LinkResult.Closed(why), time.GetTimestamp());
        ModbusExchange exchange = client.Exchange(unit, request, loan.Allowance);
        if (exchange.Status == ExchangeStatus.TimedOut)
        {
            CutShort |= loan.Allowance < timeout;
            _notBefore = exchange.EndedAt + (long)(loan.Allowance.TotalSeconds * time.TimestampFrequency);
        }

        // What it holds is the client's, and the line goes back now.
        exchange.Data.CopyTo(_data);
        return new()
        {
            Status = exchange.Status,
            ExceptionCode = exchange.ExceptionCode,
            Data = _data.AsSpan(0, exchange.Data.Length),
            Reason = exchange.Reason,
            SentAt = exchange.SentAt,
            EndedAt = exchange.EndedAt,
        };
    }

    public void ReadBlocks(byte unit, ReadOnlySpan<ReadBlock> blocks, TimeSpan timeout, IBlockReader reader)
    {
        for (int i = 0; i < blocks.Length; i++) reader.OnBlock(i, Exchange(unit, blocks[i].ToRequest(), timeout));
    }

    /// <summary>The line is the bus's: it stays open.</summary>
    public void Close()
    {
    }

    /// <summary>As <see cref="Close"/>; a wait is ended by its token.</summary>
    public void Abort()
    {
    }

    public void Dispose()
    {
    }
}
