using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>A stretch of one curve: readings joined by straight lines, unknown inside gaps and outside its ends.</summary>
/// <remarks>Seconds count from the run's start, so that moving a record in time changes no bit of any figure.</remarks>
internal readonly ref struct CurveView(ReadOnlySpan<long> ticks, ReadOnlySpan<double> values, long origin, long gapLimit)
{
    /// <summary>No joint changes faster than this, K/s (common practice; bounds what a gap can hide).</summary>
    public const double FastestChange = 10;

    private readonly ReadOnlySpan<long> _ticks = ticks;
    private readonly ReadOnlySpan<double> _values = values;

    /// <summary>Whether it is known to have no gap; false means that nobody has looked.</summary>
    public bool IsWhole { get; init; }

    /// <summary>Number of readings.</summary>
    public int Count => _ticks.Length;

    /// <summary>Values in time order.</summary>
    public ReadOnlySpan<double> Values => _values;

    /// <summary>Times in UTC ticks.</summary>
    public ReadOnlySpan<long> AllTicks => _ticks;

    /// <summary>The same times with other values.</summary>
    public CurveView With(ReadOnlySpan<double> values) => new(_ticks, values, origin, gapLimit) { IsWhole = IsWhole };

    /// <summary>Time of a reading, s from the run's start.</summary>
    public double Seconds(int index) => unchecked(_ticks[index] - origin) / (double)Timestamp.TicksPerSecond;

    /// <summary>Time of a reading, UTC ticks.</summary>
    public long Ticks(int index) => _ticks[index];

    /// <summary>Value of a reading.</summary>
    public double this[int index] => _values[index];

    /// <summary>UTC ticks of a time in seconds from the run's start, rounded to a tick.</summary>
    public long ToTicks(double seconds) => origin + (long)Math.Round(seconds * Timestamp.TicksPerSecond);

    /// <summary>Whether the curve is unknown between this reading and the next.</summary>
    public bool IsGap(int index) => !IsWhole && unchecked(_ticks[index + 1] - _ticks[index]) > gapLimit;

    /// <summary>Length of the segment that begins at this reading, s.</summary>
    public double Length(int index) => unchecked(_ticks[index + 1] - _ticks[index]) / (double)Timestamp.TicksPerSecond;

    /// <summary>Time from one reading to a later one, s.</summary>
    public double Between(int from, int to) => unchecked(_ticks[to] - _ticks[from]) / (double)Timestamp.TicksPerSecond;

    /// <summary>Highest value that a gap can hide.</summary>
    public double Apex(int gap) => Math.Max(
        Math.Max(_values[gap], _values[gap + 1]), (_values[gap] + _values[gap + 1] + (FastestChange * Length(gap))) / 2);

    /// <summary>Lowest value that a gap can hide.</summary>
    public double Bottom(int gap) => Math.Min(
        Math.Min(_values[gap], _values[gap + 1]), (_values[gap] + _values[gap + 1] - (FastestChange * Length(gap))) / 2);

    /// <summary>Time at which the segment passes a level that lies between its ends, s.</summary>
    public double TimeAt(int segment, double level)
    {
        double v1 = _values[segment];
        return Seconds(segment) + ((level - v1) / (_values[segment + 1] - v1) * Length(segment));
    }

    /// <summary>Index of the last reading at or before a time; -1 if the stretch begins later.</summary>
    public int IndexAtOrBefore(double seconds)
    {
        int low = 0;
        int high = Count - 1;
        while (low <= high)
        {
            int middle = (low + high) >>> 1;
            if (Seconds(middle) <= seconds)
            {
                low = middle + 1;
            }
            else
            {
                high = middle - 1;
            }
        }

        return high;
    }

    /// <summary>Value of the curve at a time; NaN outside the stretch and inside a gap.</summary>
    public double ValueAt(double seconds)
    {
        int i = IndexAtOrBefore(seconds);
        if (i < 0)
        {
            return double.NaN;
        }

        double past = seconds - Seconds(i);
        if (past == 0)
        {
            return _values[i];
        }

        return i == Count - 1 || IsGap(i) ? double.NaN : _values[i] + ((_values[i + 1] - _values[i]) * (past / Length(i)));
    }

    /// <summary>Whether any gap lies between two readings.</summary>
    public bool HasGap(int from, int to)
    {
        for (int i = from; i < to && !IsWhole; i++)
        {
            if (IsGap(i))
            {
                return true;
            }
        }

        return false;
    }
}
