using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>How an exchange with a device ended.</summary>
public enum ExchangeStatus
{
    /// <summary>The device answered what was asked.</summary>
    Ok,

    /// <summary>The device refused, with an exception code.</summary>
    Refused,

    /// <summary>No answer before the deadline.</summary>
    TimedOut,

    /// <summary>Something came that is not the answer.</summary>
    Garbled,

    /// <summary>The link is gone.</summary>
    Closed,

    /// <summary>Not sent: the request writes, and writing is switched off for this device.</summary>
    WritesOff,
}

/// <summary>Outcome of one request. <see cref="Data"/> is valid until the client's next call.</summary>
public readonly ref struct ModbusExchange
{
    /// <summary>How it ended.</summary>
    public required ExchangeStatus Status { get; init; }

    /// <summary>Why the device refused; 0 unless it did.</summary>
    public byte ExceptionCode { get; init; }

    /// <summary>As <see cref="PduReply.Data"/>.</summary>
    public ReadOnlySpan<byte> Data { get; init; }

    /// <summary>What went wrong, in plain words with a remedy; null when ok or refused.</summary>
    public string? Reason { get; init; }

    /// <summary>When the request had gone out, by <see cref="TimeProvider.GetTimestamp"/>.</summary>
    public long SentAt { get; init; }

    /// <summary>When the reply was whole, or given up, by the same clock.</summary>
    public long EndedAt { get; init; }
}

/// <summary>A stretch of one table that is read with one request.</summary>
/// <param name="Table">Which table.</param>
/// <param name="Address">First element, as on the wire: from 0.</param>
/// <param name="Quantity">Number of elements: 1 to 125 registers or 2000 bits.</param>
public readonly record struct ReadBlock(ModbusTable Table, ushort Address, int Quantity)
{
    /// <summary>The request that reads it.</summary>
    public ModbusRequest ToRequest() => ModbusRequest.Read(Table, Address, Quantity);
}

/// <summary>Takes the outcomes of <see cref="IModbusClient.ReadBlocks"/>.</summary>
public interface IBlockReader
{
    /// <summary>One block has ended. The exchange is valid during this call only.</summary>
    void OnBlock(int index, in ModbusExchange exchange);
}

/// <summary>A Modbus client on one link. One thread at a time; only <see cref="IConnection.Abort"/> comes from others.</summary>
public interface IModbusClient : IConnection
{
    /// <summary>What happened on the link so far.</summary>
    ModbusCounters Counters { get; }

    /// <summary>Sends one request and waits for its answer, at most this long from when it went out.</summary>
    ModbusExchange Exchange(byte unit, scoped in ModbusRequest request, TimeSpan timeout);

    /// <summary>Reads several blocks, and tells the reader each one's outcome; after a time-out the rest are not tried and end so too.</summary>
    void ReadBlocks(byte unit, ReadOnlySpan<ReadBlock> blocks, TimeSpan timeout, IBlockReader reader);
}

/// <summary>What happened on a link. Written by its thread, read by any.</summary>
public sealed class ModbusCounters
{
    /// <summary>Requests sent.</summary>
    public long Requests { get; internal set; }

    /// <summary>Requests answered, refusals included.</summary>
    public long Replies { get; internal set; }

    /// <summary>Requests not answered in time.</summary>
    public long TimeOuts { get; internal set; }

    /// <summary>Replies that answered no open request: late ones, mostly. Dropped.</summary>
    public long Unmatched { get; internal set; }

    /// <summary>Replies that were not what was asked, or not to be understood. Dropped.</summary>
    public long Garbled { get; internal set; }

    /// <summary>Frames of other masters and of units that we never asked, heard on a serial line.</summary>
    public long Foreign { get; internal set; }

    /// <summary>Copies of our own request that a transceiver sent back. Stripped.</summary>
    public long Echoes { get; internal set; }

    /// <summary>Times the link was opened.</summary>
    public long Opened { get; internal set; }
}
