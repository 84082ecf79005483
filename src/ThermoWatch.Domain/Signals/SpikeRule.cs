namespace ThermoWatch.Domain.Signals;

/// <summary>Marks a single reading far from both neighbours, one reading later; the raw value stays.</summary>
/// <remarks>No joint changes by more than 10 K/s, so a jump there and back is electricity. Thresholds: common practice.</remarks>
public static class SpikeRule
{
    /// <summary>A reading further than this from the line between its neighbours is a spike, K.</summary>
    public const double MostKelvin = 10;

    /// <summary>Neighbours further apart say nothing about what lies between them, s.</summary>
    public const double MostSeconds = 3;

    /// <summary>Neighbours that differ faster belong to a real change, K/s.</summary>
    public const double MostKelvinPerSecond = 10;

    /// <summary>The middle reading of a temperature channel, marked uncertain if it is a spike; else as it was.</summary>
    /// <param name="previous">The last reading with a value before it.</param>
    /// <param name="current">The reading in question.</param>
    /// <param name="next">The next reading with a value.</param>
    public static Reading Mark(Reading previous, Reading current, Reading next) => IsSpike(previous, current, next)
        ? current with { Quality = SignalQuality.Uncertain(QualityReason.Spike) }
        : current;

    /// <summary>Whether the middle reading is a spike. A reading that is not good keeps its own reason.</summary>
    public static bool IsSpike(Reading previous, Reading current, Reading next)
    {
        if (current.Quality.Level != Quality.Good || !previous.Quality.HasValue || !next.Quality.HasValue) return false;
        double span = next.Time.SecondsSince(previous.Time);
        double after = current.Time.SecondsSince(previous.Time);
        if (!(after > 0 && after < span && span <= MostSeconds)) return false;
        if (Math.Abs(next.Value - previous.Value) > MostKelvinPerSecond * span) return false;
        double line = previous.Value + ((next.Value - previous.Value) * (after / span));
        return Math.Abs(current.Value - line) > MostKelvin;
    }
}
