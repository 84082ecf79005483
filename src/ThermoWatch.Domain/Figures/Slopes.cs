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

    public void Add(double seconds, double value) => Change(1, seconds, value);

    public void Remove(double seconds, double value) => Change(-1, seconds, value);

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

    private void Change(int sign, double seconds, double value)
    {
        double x = seconds - _originSeconds;
        double y = value - _originValue;
        Count += sign;
        _x += sign * x;
        _y += sign * y;
        _xx += sign * x * x;
        _xy += sign * x * y;
    }
}
