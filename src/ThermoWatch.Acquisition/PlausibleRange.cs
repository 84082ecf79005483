using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition;

/// <summary>Where a point's number can lie if wiring, address and word order are right.</summary>
/// <remarks>
/// In the numbers that stand in the device's words or lines, unscaled. Two halves of different values joined, or words in the wrong
/// order, often still make a number: this is what tells it from a reading.
/// </remarks>
/// <param name="Lowest">Least number that can be.</param>
/// <param name="Highest">Greatest number that can be.</param>
public sealed record PlausibleRange(double Lowest, double Highest)
{
    /// <summary>Whether a number can be.</summary>
    public bool Holds(double raw) => raw >= Lowest && raw <= Highest;

    /// <summary>Marks every good number outside its range as bad, out of range. The number stays: raw is the record.</summary>
    internal static void Mark(IReadOnlyList<PlausibleRange?> ranges, double[] values, SignalQuality[] qualities)
    {
        for (int i = 0; i < values.Length; i++)
            if (qualities[i] == SignalQuality.Good && ranges[i] is { } range && !range.Holds(values[i])) qualities[i] = SignalQuality.Bad(QualityReason.OutOfRange);
    }
}
