namespace ThermoWatch.Domain.Signals;

/// <summary>One stretch of a transmitter's signal and what it says of the measurement.</summary>
/// <param name="From">Where it begins, V or mA.</param>
/// <param name="To">Where it ends.</param>
/// <param name="Quality">Quality of a reading whose signal lies in it, ends included.</param>
public sealed record SignalBand(double From, double To, SignalQuality Quality);

/// <summary>The bands of a transmitter's signal, from the most telling to the least: the first that holds the signal counts.</summary>
/// <param name="Bands">At least one.</param>
/// <param name="Elsewhere">Quality of a signal in none of them.</param>
public sealed record SignalBands(IReadOnlyList<SignalBand> Bands, SignalQuality Elsewhere)
{
    /// <summary>How long a signal must stay at a failure level before it counts as failed, s; 0: it counts at once.</summary>
    public double FilterSeconds { get; init; }

    /// <summary>4 to 20 mA with the failure and saturation levels of NAMUR NE 43.</summary>
    /// <remarks>
    /// Thresholds as public field-device pages repeat them: 3.6 and 21.0 mA failure, 3.8 and 20.5 mA ends of measurement.
    /// Between measurement and failure the signal means nothing definite: uncertain, and not judged. A failure counts after 2 s
    /// (common practice), so that a plug that is pulled for a moment is no fault of the transmitter.
    /// </remarks>
    public static SignalBands Ne43 { get; } = LoopMilliamperes(failLow: 3.6, measureLow: 3.8, measureHigh: 20.5, failHigh: 21.0);

    /// <summary>NE 43 with thresholds of one's own, mA; its 2021 edition moved them for some systems.</summary>
    /// <param name="failLow">Up to here the signal says failure; below <paramref name="measureLow"/>.</param>
    /// <param name="measureLow">From here on it measures; at most 4.</param>
    /// <param name="measureHigh">Up to here it measures; at least 20.</param>
    /// <param name="failHigh">From here on it says failure; above <paramref name="measureHigh"/>.</param>
    /// <param name="filterSeconds">How long it must say failure before that counts.</param>
    public static SignalBands LoopMilliamperes(double failLow, double measureLow, double measureHigh, double failHigh, double filterSeconds = 2) => new(
        [
            new(4, 20, SignalQuality.Good),
            new(measureLow, 4, SignalQuality.Uncertain(QualityReason.UnderRange)),
            new(20, measureHigh, SignalQuality.Uncertain(QualityReason.OverRange)),
            new(double.NegativeInfinity, failLow, SignalQuality.Bad(QualityReason.DeviceFault)),
            new(failHigh, double.PositiveInfinity, SignalQuality.Bad(QualityReason.DeviceFault)),
        ],
        SignalQuality.Uncertain(QualityReason.OutOfRange))
    {
        FilterSeconds = filterSeconds,
    };

    /// <summary>Wide-range gauges with 0.6 V a decade.</summary>
    /// <remarks>Below 0.5 V and above 9.5 V sensor error, 1.82 to 8.6 V valid, between them under and over range. Source: a full-range gauge's manual.</remarks>
    public static SignalBands SixTenthsOfAVoltPerDecade { get; } = new(
        [
            new(1.82, 8.6, SignalQuality.Good),
            new(0.5, 1.82, SignalQuality.Uncertain(QualityReason.UnderRange)),
            new(8.6, 9.5, SignalQuality.Uncertain(QualityReason.OverRange)),
        ],
        SignalQuality.Bad(QualityReason.DeviceFault));

    /// <summary>Quality that the level of a signal stands for by itself, whatever came before it.</summary>
    /// <param name="signal">V or mA, finite.</param>
    public SignalQuality Of(double signal)
    {
        for (int i = 0; i < Bands.Count; i++)
        {
            if (signal >= Bands[i].From && signal <= Bands[i].To) return Bands[i].Quality;
        }

        return Elsewhere;
    }
}
