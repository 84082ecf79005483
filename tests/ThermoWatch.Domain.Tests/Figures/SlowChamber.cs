namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>Evacuations and their figures written down from the definitions, one pass each: shares no code with the engine's.</summary>
internal sealed class SlowChamber(IReadOnlyList<(double T, double P)> points)
{
    public sealed record Step(double Start, double End, double Rest);

    private readonly SlowCurve _curve = new([.. points.Select(p => (p.T, p.P))], 1000);

    public List<Step> Steps()
    {
        List<Step> steps = [];
        List<(double T, double P)> rests = [];
        double rest = double.NaN;
        double? begun = null;
        for (int i = 0; i < points.Count; i++)
        {
            (double t, double p) = points[i];
            double? median = Median(t);
            if (begun is null && p < 0.5 * rest)
            {
                int k = Enumerable.Range(0, i).Last(k => points[k].P >= 0.95 * rest && points[k + 1].P < 0.95 * rest);
                begun = Cross(k, 0.95 * rest);
            }
            else if (begun is { } start && (p >= 0.95 * rest || median > 0.85 * rest))
            {
                steps.Add(new Step(start, p >= 0.95 * rest ? Cross(i - 1, 0.95 * rest) : t - 3, rest));
                begun = null;
            }

            if (begun is null && median is { } m && (rests.Count == 0 || m >= 0.8 * rests.Max(r => r.P)))
            {
                rests.Add((t, m));
                rest = m;
            }
        }

        return steps;
    }

    public double? PumpDown(Step s, double target)
    {
        int k = Segments(s).FirstOrDefault(k => points[k].P > target && points[k + 1].P <= target, -1);
        return k < 0 ? null : Cross(k, target) - s.Start;
    }

    public double? Left(Step s, double target)
    {
        int k = Segments(s).LastOrDefault(k => points[k].P <= target && points[k + 1].P > target, -1);
        return k < 0 ? null : Cross(k, target);
    }

    public double Lowest(Step s) => points.Where(p => p.T >= s.Start && p.T <= s.End).Min(p => p.P);

    /// <summary>Time at or below the target while every curve is at or above its level.</summary>
    public double Below(Step s, double target, SlowCurve[] curves, double level)
    {
        double[] cuts =
        [
            s.Start, s.End,
            .. SlowCurve.CutAt(_curve.Points, target).Select(p => p.T), .. curves.SelectMany(c => SlowCurve.CutAt(c.Points, level).Select(p => p.T)),
        ];
        cuts = [.. cuts.Where(t => t >= s.Start && t <= s.End).Distinct().Order()];
        return Enumerable.Range(0, cuts.Length - 1)
            .Where(i => (cuts[i] + cuts[i + 1]) / 2 is var m && _curve.ValueAt(m) <= target && curves.All(c => c.ValueAt(m) >= level))
            .Sum(i => cuts[i + 1] - cuts[i]);
    }

    /// <summary>Greatest least-squares slope times the sign, of the values as they are or of their logarithms.</summary>
    public double? Steepest(double from, double to, double window, int least, int sign, Func<double, double> of)
    {
        (double T, double V)[] inside = [.. points.Where(p => p.T >= from && p.T <= to).Select(p => (p.T, of(p.P)))];
        double? best = null;
        for (int i = 0; i + least <= inside.Length; i++)
        {
            int count = Math.Max(least, inside.Skip(i).Count(p => p.T <= inside[i].T + window + 1e-9));
            (double T, double V)[] w = inside[i..(i + count)];
            (double mt, double mv) = (w.Average(p => p.T), w.Average(p => p.V));
            double slope = sign * w.Sum(p => (p.T - mt) * (p.V - mv)) / w.Sum(p => (p.T - mt) * (p.T - mt));
            best = best is null || slope > best ? slope : best;
        }

        return best;
    }

    private IEnumerable<int> Segments(Step s) => Enumerable.Range(0, points.Count - 1).Where(k => points[k + 1].T > s.Start && points[k].T < s.End);

    private double Cross(int k, double level) =>
        points[k].T + ((points[k + 1].T - points[k].T) * (level - points[k].P) / (points[k + 1].P - points[k].P));

    /// <summary>Median of the last three seconds if the pressure rested over them; else null.</summary>
    private double? Median(double t)
    {
        if (t - 3 < points[0].T)
        {
            return null;
        }

        double[] inside = [.. points.Where(p => p.T >= t - 3 && p.T <= t).Select(p => p.P).Order()];
        double begins = _curve.ValueAt(t - 3);
        (double low, double high) = (Math.Min(inside[0], begins), Math.Max(inside[^1], begins));
        int middle = inside.Length / 2;
        return high - low > 0.02 * high ? null : inside.Length % 2 == 1 ? inside[middle] : (inside[middle - 1] + inside[middle]) / 2;
    }
}
