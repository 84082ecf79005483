namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>A curve as plain points, for the slow implementation: it shares no code with the engine's.</summary>
internal sealed class SlowCurve(IReadOnlyList<(double T, double V)> points, double gapSeconds)
{
    private const double R = 10;

    public IReadOnlyList<(double T, double V)> Points => points;

    public bool IsGap(int i) => points[i + 1].T - points[i].T > gapSeconds + 1e-9;

    public bool HasGaps => Enumerable.Range(0, Math.Max(0, points.Count - 1)).Any(IsGap);

    /// <summary>The curve with every gap drawn as high, or as low, as it can have been.</summary>
    public List<(double T, double V)> Envelope(bool upper)
    {
        List<(double, double)> drawn = [points[0]];
        for (int i = 0; i < points.Count - 1; i++)
        {
            ((double t1, double v1), (double t2, double v2)) = (points[i], points[i + 1]);
            if (IsGap(i))
            {
                // Two lines of slope r from both ends meet here.
                double turn = ((t1 + t2) / 2) + ((upper ? v2 - v1 : v1 - v2) / (2 * R));
                drawn.Add((turn, upper ? v1 + (R * (turn - t1)) : v1 - (R * (turn - t1))));
            }

            drawn.Add((t2, v2));
        }

        return drawn;
    }

    /// <summary>The points and every place where the line passes the level.</summary>
    public static List<(double T, double V)> CutAt(IReadOnlyList<(double T, double V)> line, double level)
    {
        List<(double, double)> cut = [line[0]];
        for (int i = 1; i < line.Count; i++)
        {
            ((double t1, double v1), (double t2, double v2)) = (line[i - 1], line[i]);
            if ((v1 - level) * (v2 - level) < 0)
            {
                cut.Add((t1 + ((t2 - t1) * ((level - v1) / (v2 - v1))), level));
            }

            cut.Add((t2, v2));
        }

        return cut;
    }

    public static double TimeAbove(IReadOnlyList<(double T, double V)> line, double level)
    {
        List<(double T, double V)> cut = CutAt(line, level);
        return Enumerable.Range(0, cut.Count - 1).Where(i => cut[i].V >= level && cut[i + 1].V >= level).Sum(i => cut[i + 1].T - cut[i].T);
    }

    public static double HeatAbove(IReadOnlyList<(double T, double V)> line, double level)
    {
        List<(double T, double V)> cut = CutAt(line, level);
        return Enumerable.Range(0, cut.Count - 1).Where(i => cut[i].V >= level && cut[i + 1].V >= level)
            .Sum(i => (((cut[i].V + cut[i + 1].V) / 2) - level) * (cut[i + 1].T - cut[i].T));
    }

    public static double LongestAbove(IReadOnlyList<(double T, double V)> line, double level, double h)
    {
        // Split where the line comes down to level - h; in each piece from the first to the last moment above the level.
        List<(double T, double V)> cut = CutAt(line, level);
        double longest = 0;
        List<double> piece = [];
        foreach ((double t, double v) in cut)
        {
            if (v <= level - h)
            {
                longest = Math.Max(longest, piece.Count == 0 ? 0 : piece[^1] - piece[0]);
                piece.Clear();
            }
            else if (v >= level)
            {
                piece.Add(t);
            }
        }

        return Math.Max(longest, piece.Count == 0 ? 0 : piece[^1] - piece[0]);
    }

    /// <summary>Settled rising crossing of a curve without gaps; null if the level is never reached or the record begins above it.</summary>
    public double? Settled(double level, double h = 1)
    {
        if (points[0].V >= level)
        {
            return null;
        }

        List<double> rising = [];
        for (int i = 0; i < points.Count - 1; i++)
        {
            if (points[i].V < level && points[i + 1].V >= level)
            {
                rising.Add(Between(i, level));
            }

            if (points[i + 1].V >= level + h)
            {
                return rising[^1];
            }
        }

        return rising.Count == 0 ? null : rising[0];
    }

    public double? FirstRising(double level)
    {
        if (points[0].V >= level)
        {
            return points[0].T;
        }

        int i = Enumerable.Range(0, points.Count - 1).FirstOrDefault(i => points[i].V < level && points[i + 1].V >= level, -1);
        return i < 0 ? null : Between(i, level);
    }

    public double? LastFalling(double level, double after = double.NegativeInfinity)
    {
        int i = Enumerable.Range(0, points.Count - 1).LastOrDefault(i => points[i].V >= level && points[i + 1].V < level, -1);
        return i < 0 || points[^1].V >= level || Between(i, level) < after ? null : Between(i, level);
    }

    public double? FirstFallingAfter(double after, double level)
    {
        int i = Enumerable.Range(0, points.Count - 1).FirstOrDefault(
            i => points[i].V >= level && points[i + 1].V < level && Between(i, level) >= after, -1);
        return i < 0 ? null : Between(i, level);
    }

    public double ValueAt(double t)
    {
        int i = Enumerable.Range(0, points.Count).LastOrDefault(i => points[i].T <= t, -1);
        return i < 0 || (i == points.Count - 1 && t > points[i].T) ? double.NaN
            : i == points.Count - 1 ? points[i].V
            : points[i].V + ((points[i + 1].V - points[i].V) * (t - points[i].T) / (points[i + 1].T - points[i].T));
    }

    public double Sustained() => Enumerable.Range(0, points.Count)
        .Where(i => points[i].T - 5 >= points[0].T)
        .Select(i => points.Where(p => p.T >= points[i].T - 5 && p.T <= points[i].T).Select(p => p.V).Append(ValueAt(points[i].T - 5)).Min())
        .DefaultIfEmpty(double.NaN).Max();

    public double Steepest(double from, double to, double window, int sign)
    {
        double best = double.NaN;
        for (int i = 0; i < points.Count; i++)
        {
            (double T, double V)[] inside = [.. points.Where(p => p.T >= points[i].T && p.T <= points[i].T + window + 1e-9 && p.T <= to)];
            if (points[i].T >= from && inside.Length >= 5 && inside[^1].T - inside[0].T >= (0.9 * window) - 1e-9)
            {
                (double mt, double mv) = (inside.Average(p => p.T), inside.Average(p => p.V));
                double slope = sign * inside.Sum(p => (p.T - mt) * (p.V - mv)) / inside.Sum(p => (p.T - mt) * (p.T - mt));
                best = double.IsNaN(best) ? slope : Math.Max(best, slope);
            }
        }

        return best;
    }

    private double Between(int i, double level) =>
        points[i].T + ((points[i + 1].T - points[i].T) * (level - points[i].V) / (points[i + 1].V - points[i].V));
}
