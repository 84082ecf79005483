using System.Runtime.CompilerServices;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>Which windows a steepest slope is looked for in.</summary>
/// <param name="Seconds">Length; readings at its end count.</param>
/// <param name="LeastReadings">Fewer do not make a slope.</param>
/// <param name="Extend">Whether a window with too few readings is made longer until it has them, or passed over.</param>
internal readonly record struct SlopeWindow(double Seconds, int LeastReadings, bool Extend)
{
    /// <summary>Share of the window that its readings must span (only where it is not extended).</summary>
    public const double LeastSpan = 0.9;
}

/// <summary>Least-squares slopes over sliding windows.</summary>
internal static class Slopes
{
    /// <summary>Greatest slope times <paramref name="sign"/> over the windows within two readings; NaN if there is none.</summary>
    /// <remarks>For even steps this is the linear Savitzky-Golay derivative.</remarks>
    public static double Steepest(in CurveView c, int first, int last, SlopeWindow window, int sign)
    {
        long span = (long)Math.Round(window.Seconds * Timestamp.TicksPerSecond);
        if (c.IsWhole && !window.Extend)
        {
            return SteepestOfWhole(c, first, last, span, window.LeastReadings, sign);
        }

        double best = double.NaN;
        int end = first - 1;
        int lastGap = -1;
        int anchoredUntil = first - 1;
        var fit = default(LineFit);
        for (int start = first; start <= last; start++)
        {
            int wanted = end;
            while (wanted < last && (c.Ticks(wanted + 1) - c.Ticks(start) <= span
                || (window.Extend && wanted + 1 - start < window.LeastReadings)))
            {
                wanted++;
                if (wanted > first && c.IsGap(wanted - 1))
                {
                    lastGap = wanted - 1;
                }
            }

            // Sums are taken afresh, around a reading of the window, once the last one is left behind: so rounding
            // never adds up, and each reading is still touched a fixed number of times.
            if (start > anchoredUntil)
            {
                fit = new LineFit(c.Seconds(start), c[start]);
                for (int i = start; i <= wanted; i++)
                {
                    fit.Add(c.Seconds(i), c[i]);
                }

                anchoredUntil = wanted;
            }
            else
            {
                for (int i = end + 1; i <= wanted; i++)
                {
                    fit.Add(c.Seconds(i), c[i]);
                }
            }

            end = wanted;
            bool enough = fit.Count >= window.LeastReadings
                && (window.Extend || (c.Ticks(end) - c.Ticks(start)) >= SlopeWindow.LeastSpan * span);
            if (enough && lastGap < start)
            {
                double slope = sign * fit.Slope;
                best = double.IsNaN(best) ? slope : Math.Max(best, slope);
            }

            fit.Remove(c.Seconds(start), c[start]);
        }

        return best;
    }

    /// <summary>The same without gaps and extensions: the sums stay at hand, and only a steeper window is divided out.</summary>
    private static double SteepestOfWhole(in CurveView c, int first, int last, long span, int leastReadings, int sign)
    {
        const double TickSeconds = 1.0 / Timestamp.TicksPerSecond;
        ReadOnlySpan<double> values = c.Values[..(last + 1)];
        ReadOnlySpan<long> ticks = c.AllTicks[..values.Length];
        double leastSpan = SlopeWindow.LeastSpan * span;
        (double best, long originTicks, double originValue) = (double.NegativeInfinity, 0, 0);
        (double n, double sx, double sy, double sxx, double sxy) = (0, 0, 0, 0, 0);
        int end = first - 1;
        int anchoredUntil = first - 1;
        for (int start = first; start < values.Length; start++)
        {
            if (start > anchoredUntil)
            {
                // Afresh around a reading of the window, so that rounding never adds up.
                (originTicks, originValue, n, sx, sy, sxx, sxy) = (ticks[start], values[start], 0, 0, 0, 0, 0);
                anchoredUntil = end = start - 1;
            }

            bool fresh = end < start;
            while (end + 1 < values.Length && ticks[end + 1] - ticks[start] <= span)
            {
                end++;
                double x = (ticks[end] - originTicks) * TickSeconds;
                double y = values[end] - originValue;
                (n, sx, sy, sxx, sxy) = (n + 1, sx + x, sy + y, sxx + (x * x), sxy + (x * y));
            }

            anchoredUntil = fresh ? end : anchoredUntil;
            double spread = (n * sxx) - (sx * sx);
            double rise = sign * ((n * sxy) - (sx * sy));
            if (n >= leastReadings && spread > 0 && ticks[end] - ticks[start] >= leastSpan && rise > best * spread)
            {
                best = rise / spread;
            }

            double x0 = (ticks[start] - originTicks) * TickSeconds;
            double y0 = values[start] - originValue;
            (n, sx, sy, sxx, sxy) = (n - 1, sx - x0, sy - y0, sxx - (x0 * x0), sxy - (x0 * y0));
        }

        return double.IsNegativeInfinity(best) ? double.NaN : best;
    }
}

/// <summary>Running sums of a straight line's least-squares fit.</summary>
internal struct LineFit(double originSeconds, double originValue)
{
    private readonly double _originSeconds = originSeconds;
    private readonly double _originValue = originValue;
    private double _x;
    private double _y;
    private double _xx;
    private double _xy;

    public int Count { get; private set; }

    /// <summary>Slope per second; NaN without two different times.</summary>
    public readonly double Slope
    {
        get
        {
            double spread = (Count * _xx) - (_x * _x);
            return Count >= 2 && spread > 0 ? ((Count * _xy) - (_x * _y)) / spread : double.NaN;
        }
    }

    /// <summary>Whether the slope is less than this either way, found without a division.</summary>
    public readonly bool IsFlatterThan(double slope)
    {
        double spread = (Count * _xx) - (_x * _x);
        return spread > 0 && Math.Abs((Count * _xy) - (_x * _y)) < slope * spread;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Add(double seconds, double value)
    {
        double x = seconds - _originSeconds;
        double y = value - _originValue;
        unchecked
        {
            Count++;
        }

        _x += x;
        _y += y;
        _xx += x * x;
        _xy += x * y;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Remove(double seconds, double value)
    {
        double x = seconds - _originSeconds;
        double y = value - _originValue;
        unchecked
        {
            Count--;
        }

        _x -= x;
        _y -= y;
        _xx -= x * x;
        _xy -= x * y;
    }

    public readonly void Save(BinaryWriter writer)
    {
        writer.Write(_originSeconds);
        writer.Write(_originValue);
        writer.Write(Count);
        writer.Write(_x);
        writer.Write(_y);
        writer.Write(_xx);
        writer.Write(_xy);
    }

    public static LineFit Load(BinaryReader reader) => new(reader.ReadDouble(), reader.ReadDouble())
    {
        Count = reader.ReadInt32(),
        _x = reader.ReadDouble(),
        _y = reader.ReadDouble(),
        _xx = reader.ReadDouble(),
        _xy = reader.ReadDouble(),
    };
}
