namespace ThermoWatch.Recording.Codecs;

/// <summary>What a column's next value is expected to be, and what is left over of the real one, zigzagged.</summary>
internal static class Prediction
{
    /// <summary>Values that the line goes through.</summary>
    public const int Window = 16;

    public static void LeftOverFromPrevious(ReadOnlySpan<long> values, Span<ulong> left)
    {
        for (int i = 1; i < values.Length; i++)
        {
            left[i] = ZigZag.Encode(unchecked(values[i] - values[i - 1]));
        }
    }

    public static void LeftOverFromLine(ReadOnlySpan<long> values, Span<ulong> left)
    {
        unchecked
        {
            int start = Math.Min(Window, values.Length);
            LeftOverFromPrevious(values[..start], left);
            if (values.Length <= Window)
            {
                return;
            }

            (long sum, long weighted) = Sums(values);
            for (int i = Window; i < values.Length; i++)
            {
                left[i] = ZigZag.Encode(values[i] - OneStepOn(weighted));
                Slide(ref sum, ref weighted, values[i - Window], values[i]);
            }
        }
    }

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
