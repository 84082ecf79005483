namespace ThermoWatch.Acquisition.Polling;

/// <summary>Histogram of response times, from which a time-out is suggested.</summary>
/// <remarks>Buckets grow by a quarter of a doubling, so a quantile is high by at most 19 %. Written by one thread.</remarks>
public sealed class ResponseTimes
{
    private const double FirstMilliseconds = 0.05;
    private const int PerDoubling = 4;
    private readonly long[] _counts = new long[80];

    /// <summary>How many there are.</summary>
    public long Count { get; private set; }

    /// <summary>The buckets in use: upper edge in ms and how many fell in.</summary>
    public IReadOnlyList<(double UpToMilliseconds, long Count)> Buckets =>
        [.. _counts.Select((count, i) => (UpperEdge(i), count)).Where(b => b.count > 0)];

    /// <summary>Time within which this share of the answers came, in ms; NaN without any.</summary>
    public double QuantileMilliseconds(double share)
    {
        long wanted = (long)Math.Ceiling(Count * share), seen = 0;
        for (int i = 0; i < _counts.Length; i++)
        {
            seen += _counts[i];
            if (seen >= wanted && seen > 0) return UpperEdge(i);
        }

        return double.NaN;
    }

    /// <summary>A time-out that leaves room: twice the 99.9 % quantile, at least 20 ms; null before 20 answers have come.</summary>
    public TimeSpan? SuggestedTimeout => Count < 20
        ? null
        : TimeSpan.FromMilliseconds(Math.Max(20, Math.Ceiling(2 * QuantileMilliseconds(0.999))));

    internal void Add(TimeSpan took)
    {
        double steps = Math.Ceiling(PerDoubling * Math.Log2(Math.Max(took.TotalMilliseconds, FirstMilliseconds) / FirstMilliseconds));
        _counts[Math.Clamp((int)steps, 0, _counts.Length - 1)]++;
        Count++;
    }

    private static double UpperEdge(int bucket) => FirstMilliseconds * Math.Pow(2, bucket / (double)PerDoubling);
}
