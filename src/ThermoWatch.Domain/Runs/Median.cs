namespace ThermoWatch.Domain.Runs;

/// <summary>The middle of some numbers; of an even count the mean of the two in the middle.</summary>
internal static class Median
{
    public static double Of(IEnumerable<double> values) => OfSorted([.. values.Order()]);

    /// <param name="sorted">At least one number, rising.</param>
    public static double OfSorted(ReadOnlySpan<double> sorted)
    {
        int middle = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    }
}
