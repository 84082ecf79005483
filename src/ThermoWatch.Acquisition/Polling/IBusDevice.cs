using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>How a device took a poll.</summary>
internal enum ScanStatus
{
    /// <summary>It answered; single points may still be refused.</summary>
    Answered,

    /// <summary>Nothing came.</summary>
    Silent,

    /// <summary>Something came that was not the answer.</summary>
    Garbled,

    /// <summary>The link is gone.</summary>
    LinkLost,

    /// <summary>There is nothing more to read: a recording that came to its end.</summary>
    Ended,
}

/// <summary>Outcome of one poll.</summary>
/// <param name="Status">How the device took it.</param>
/// <param name="Values">One number a point, NaN without one.</param>
/// <param name="Qualities">One quality a point.</param>
/// <param name="SentAt">Monotonic time of the first request.</param>
/// <param name="EndedAt">Monotonic time of the last reply.</param>
/// <param name="Reason">What is wrong, with a remedy; null if nothing is.</param>
internal readonly record struct ScanResult(
    ScanStatus Status, double[] Values, SignalQuality[] Qualities, long SentAt, long EndedAt, string? Reason);

/// <summary>One instrument on a bus, asked by the bus's thread.</summary>
internal interface IBusDevice
{
    /// <summary>Place in the cell's list of devices.</summary>
    int Index { get; }

    /// <summary>Its options as they are now.</summary>
    DeviceOptions Options { get; }

    /// <summary>Takes other settings from the next request on. From any thread.</summary>
    /// <param name="changed">Valid options that read the same points.</param>
    void Change(DeviceOptions changed) => throw new NotSupportedException($"'{Options.Id}' is asked nothing.");

    /// <summary>Whether it talks unasked: then a poll waits for what it says next, and there is no schedule to keep.</summary>
    bool TalksUnasked => false;

    /// <summary>When there will be something to read, in monotonic ticks of 100 ns; null: ask at any time.</summary>
    long? NextDue => null;

    /// <summary>The connection has been made anew.</summary>
    void Connected()
    {
    }

    /// <summary>Reads all points once.</summary>
    ScanResult Scan();
}
