using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Influx;

/// <summary>How finely times are sent. Finer parts are cut off, towards the past: two moments may become one, none becomes later.</summary>
public enum LinePrecision
{
    /// <summary>Milliseconds: what every database keeps.</summary>
    Milliseconds,

    /// <summary>Microseconds.</summary>
    Microseconds,

    /// <summary>Nanoseconds: the record's 100 ns in full.</summary>
    Nanoseconds,
}

/// <summary>What measurements, tags and fields are called. The defaults survive on every database of this kind.</summary>
public sealed record LineNames
{
    /// <summary>Stands before every measurement.</summary>
    public string Prefix { get; init; } = "";

    /// <summary>Field of a reading's value.</summary>
    public string Value { get; init; } = "value";

    /// <summary>Field or tag of a reading's quality; null: it is not sent.</summary>
    public string? Quality { get; init; } = "quality";

    /// <summary>Whether quality is a tag, on doubtful readings only; else it is a whole number, 0 good or 1 uncertain.</summary>
    public bool QualityIsTag { get; init; }

    /// <summary>Tags that every line carries, such as the site.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Constant { get; init; } = [];

    /// <summary>Measurement of readings of a unit.</summary>
    public string MeasurementOf(MeasuredUnit unit) => Prefix + unit switch
    {
        MeasuredUnit.DegreeCelsius => "temperature",
        MeasuredUnit.Millibar => "pressure",
        MeasuredUnit.Millivolt => "voltage",
        _ => "signal",
    };
}

/// <summary>Times as line protocol counts them.</summary>
internal static class LineTime
{
    /// <summary>Units since 1970-01-01T00:00:00Z, cut towards the past.</summary>
    public static long Of(Timestamp time, LinePrecision precision)
    {
        long ticks = time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks;
        return precision switch
        {
            LinePrecision.Nanoseconds => ticks * 100,
            LinePrecision.Microseconds => Floor(ticks, TimeSpan.TicksPerMicrosecond),
            _ => Floor(ticks, TimeSpan.TicksPerMillisecond),
        };
    }

    /// <summary>How far apart two times must be, at least, to stay two.</summary>
    public static TimeSpan Step(LinePrecision precision) => precision switch
    {
        LinePrecision.Nanoseconds => TimeSpan.FromTicks(1),
        LinePrecision.Microseconds => TimeSpan.FromTicks(TimeSpan.TicksPerMicrosecond),
        _ => TimeSpan.FromTicks(TimeSpan.TicksPerMillisecond),
    };

    /// <summary>The rule in words.</summary>
    public static string Rule(LinePrecision precision) => precision switch
    {
        LinePrecision.Nanoseconds => "ns: the record's 100 ns in full",
        LinePrecision.Microseconds => "us: finer parts are cut off, towards the past",
        _ => "ms: finer parts are cut off, towards the past",
    };

    private static long Floor(long ticks, long unit) => ticks >= 0 ? ticks / unit : -((-ticks + unit - 1) / unit);
}
