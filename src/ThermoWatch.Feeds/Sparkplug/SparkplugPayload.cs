namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Datatypes of metrics (Sparkplug 3.0, chapter 6); the numbers stand on the wire.</summary>
internal enum SparkplugType
{
    Int32 = 3,
    Int64 = 4,
    Double = 10,
    Boolean = 11,
    String = 12,
}

/// <summary>A property beside a metric's value.</summary>
/// <param name="Key">Its key.</param>
/// <param name="Number">Its value as Int32; null if it is text.</param>
/// <param name="Text">Its value as String; null if it is a number.</param>
internal readonly record struct SparkplugProperty(string Key, int? Number, string? Text);

/// <summary>A metric of a payload. What is null is absent on the wire: presence carries meaning (proto2).</summary>
internal sealed record SparkplugMetric
{
    public string? Name { get; init; }

    public ulong? Alias { get; init; }

    /// <summary>When it was measured, ms since 1970.</summary>
    public ulong? TimestampMs { get; init; }

    public uint? Datatype { get; init; }

    public bool IsHistorical { get; init; }

    /// <summary>An explicit "no value".</summary>
    public bool IsNull { get; init; }

    public IReadOnlyList<SparkplugProperty> Properties { get; init; } = [];

    /// <summary>Value of Int32 and smaller types.</summary>
    public uint? IntValue { get; init; }

    /// <summary>Value of Int64 and times.</summary>
    public ulong? LongValue { get; init; }

    public double? DoubleValue { get; init; }

    public bool? BooleanValue { get; init; }

    public string? StringValue { get; init; }
}

/// <summary>A Sparkplug B payload.</summary>
internal sealed record SparkplugPayload
{
    /// <summary>When it was sent, ms since 1970.</summary>
    public ulong? TimestampMs { get; init; }

    public IReadOnlyList<SparkplugMetric> Metrics { get; init; } = [];

    /// <summary>0 to 255; absent in NDEATH and commands.</summary>
    public ulong? Seq { get; init; }
}
