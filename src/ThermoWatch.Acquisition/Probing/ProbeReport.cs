namespace ThermoWatch.Acquisition.Probing;

/// <summary>What one device said when it was asked once, and what seems wrong with its wiring or settings.</summary>
public sealed record ProbeReport
{
    /// <summary>Id of the device.</summary>
    public required string Device { get; init; }

    /// <summary>The wire it is on, for people.</summary>
    public required string Wire { get; init; }

    /// <summary>Whether it answered at all.</summary>
    public required bool Reached { get; init; }

    /// <summary>What the device says it is, such as its maker and type; null if it does not tell.</summary>
    public string? Identification { get; init; }

    /// <summary>Its points.</summary>
    public IReadOnlyList<ProbePoint> Points { get; init; } = [];

    /// <summary>What the cell's channels make of the points; empty for a device that is in no cell yet.</summary>
    public IReadOnlyList<ProbeChannel> Channels { get; init; } = [];

    /// <summary>How many answers the times below come from.</summary>
    public long Answers { get; init; }

    /// <summary>Time from request to reply within which half of the answers came, in ms; null without any.</summary>
    public double? MedianMilliseconds { get; init; }

    /// <summary>The same for 99.9 %.</summary>
    public double? SlowestMilliseconds { get; init; }

    /// <summary>Response times: upper edge of each bucket in ms, and how many fell in.</summary>
    public IReadOnlyList<ProbeBucket> Histogram { get; init; } = [];

    /// <summary>A time-out that leaves room, in ms; null before enough answers have come.</summary>
    public double? SuggestedTimeoutMilliseconds { get; init; }

    /// <summary>What seems wrong, in plain words, each with what to do; empty if nothing does.</summary>
    public IReadOnlyList<string> Findings { get; init; } = [];
}

/// <summary>What one channel makes of its point.</summary>
/// <param name="Channel">Its id.</param>
/// <param name="Value">The converted value; null without one.</param>
/// <param name="Unit">Its unit, such as degC or mbar.</param>
/// <param name="Quality">As written in files.</param>
public sealed record ProbeChannel(string Channel, double? Value, string Unit, string Quality);

/// <summary>One bar of a histogram.</summary>
/// <param name="UpToMilliseconds">Upper edge.</param>
/// <param name="Count">How many fell in.</param>
public sealed record ProbeBucket(double UpToMilliseconds, long Count);

/// <summary>What stood in one point.</summary>
/// <param name="Point">Its id.</param>
/// <param name="Where">Address on the wire and the number that manuals give it, or the field of a line.</param>
/// <param name="Raw">Bytes as they came, in hexadecimal, or the line; empty without an answer.</param>
/// <param name="Value">The number as configured; null without one.</param>
/// <param name="Quality">As written in files.</param>
/// <param name="Orders">The number in each word order (ABCD, CDAB, BADC, DCBA) where it spans registers; null where it is none.</param>
public sealed record ProbePoint(
    string Point, string Where, string Raw, double? Value, string Quality, IReadOnlyDictionary<string, double?> Orders);
