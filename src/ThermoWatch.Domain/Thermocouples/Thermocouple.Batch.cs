namespace ThermoWatch.Domain.Thermocouples;

/// <content>Whole columns at once, for replay, files and reports; bit for bit what one at a time gives.</content>
public sealed partial class Thermocouple
{
    /// <summary>Sums are kept for this many readings: 4 KiB of stack, well inside the first cache.</summary>
    private const int Block = 512;

    /// <summary>Temperatures of junctions, each with the temperature of its own cold junction.</summary>
    /// <remarks>NaN where there is no temperature; <see cref="ToCelsius(double, double)"/> then gives the reason. Allocates nothing.</remarks>
    /// <param name="millivolts">As measured between the terminals.</param>
    /// <param name="coldJunctionCelsius">As long as <paramref name="millivolts"/>.</param>
    /// <param name="celsius">As long as <paramref name="millivolts"/>; may be the same memory as either.</param>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void ToCelsius(ReadOnlySpan<double> millivolts, ReadOnlySpan<double> coldJunctionCelsius, Span<double> celsius) =>
        ToCelsius(millivolts, coldJunctionCelsius, celsius, CubicTable.Widest);

    /// <summary>Temperatures of junctions that share one cold junction.</summary>
    /// <inheritdoc cref="ToCelsius(ReadOnlySpan{double}, ReadOnlySpan{double}, Span{double})"/>
    public void ToCelsius(ReadOnlySpan<double> millivolts, double coldJunctionCelsius, Span<double> celsius) =>
        ToCelsius(millivolts, coldJunctionCelsius, celsius, CubicTable.Widest);

    internal void ToCelsius(ReadOnlySpan<double> millivolts, ReadOnlySpan<double> coldJunctionCelsius, Span<double> celsius, CubicTable.Width width)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(coldJunctionCelsius.Length, millivolts.Length);
        ArgumentOutOfRangeException.ThrowIfNotEqual(celsius.Length, millivolts.Length);
        Span<double> sums = stackalloc double[Math.Min(Block, millivolts.Length)];
        for (int start = 0; start < millivolts.Length; start += Block)
        {
            int length = Math.Min(Block, millivolts.Length - start);
            Span<double> sum = sums[..length];
            ReadOnlySpan<double> junctions = coldJunctionCelsius.Slice(start, length);
            ReadOnlySpan<double> measured = millivolts.Slice(start, length);
            if (!_tables.Forward.At(junctions, sum, width)) FillReferences(junctions, sum);
            for (int i = 0; i < length; i++) sum[i] = measured[i] + sum[i];
            Invert(sum, celsius.Slice(start, length), width);
        }
    }

    internal void ToCelsius(ReadOnlySpan<double> millivolts, double coldJunctionCelsius, Span<double> celsius, CubicTable.Width width)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(celsius.Length, millivolts.Length);
        double reference = ReferenceMillivoltsOrNaN(coldJunctionCelsius);
        Span<double> sums = stackalloc double[Math.Min(Block, millivolts.Length)];
        for (int start = 0; start < millivolts.Length; start += Block)
        {
            Span<double> sum = sums[..Math.Min(Block, millivolts.Length - start)];
            for (int i = 0; i < sum.Length; i++) sum[i] = millivolts[start + i] + reference;
            Invert(sum, celsius.Slice(start, sum.Length), width);
        }
    }

    private void Invert(ReadOnlySpan<double> sums, Span<double> celsius, CubicTable.Width width)
    {
        if (_tables.Inverse.At(sums, celsius, width)) return;
        for (int i = 0; i < sums.Length; i++)
        {
            if (double.IsNaN(celsius[i])) celsius[i] = CelsiusByRoot(sums[i]);
        }
    }

    private void FillReferences(ReadOnlySpan<double> junctions, Span<double> references)
    {
        for (int i = 0; i < junctions.Length; i++)
        {
            if (double.IsNaN(references[i])) references[i] = ToMillivolts(junctions[i]).Value;
        }
    }
}
