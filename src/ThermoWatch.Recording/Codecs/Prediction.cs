namespace ThermoWatch.Recording.Codecs;

/// <summary>What the next value of a version 1 column is expected to be.</summary>
internal static class Prediction
{
    /// <summary>Values that the line goes through.</summary>
    public const int Window = 16;

    // The line through the last 16 values, one step on, is the sum of (k - 5) / 40 times value k (k = 0 the oldest):
    // the least-squares weights 1/n + (k - mean)(n - mean) / Sxx for n = 16. Both sums slide in constant time.
    // Arithmetic is modulo 2^64 on both sides, so that even absurd values come back.
    public static (long Sum, long Weighted) Sums(ReadOnlySpan<long> values)
    {
        long sum = 0, weighted = 0;
        for (int k = 0; k < Window; k++)
        {
            unchecked
            {
                sum += values[k];
                weighted += (k - 5) * values[k];
            }
        }

        return (sum, weighted);
    }

    public static void Slide(ref long sum, ref long weighted, long oldest, long newest)
    {
        unchecked
        {
            weighted += 6 * oldest + 10 * newest - sum;
            sum += newest - oldest;
        }
    }

    public static long OneStepOn(long weighted) => unchecked(weighted + (weighted >= 0 ? 20 : -20)) / 40;
}
