namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>The rule for a thermocouple that has come off, looked for plainly in whole curves; it shares no code with the engine's.</summary>
internal static class SlowLift
{
    private const double Hair = 1e-9;

    /// <summary>Last time at which a channel still showed its joint; null if it does to the end.</summary>
    public static double? LastSure(int which, IReadOnlyList<List<(double T, double V)>> boards, double gapSeconds)
    {
        List<(double T, double V)> own = boards[which];
        double free = double.NegativeInfinity;
        foreach ((double t, double v) in own)
        {
            (double T, double V)[] before = [.. own.Where(p => p.T >= t - 3 - Hair && p.T <= t)];
            int broken = Enumerable.Range(0, before.Length - 1).LastOrDefault(i => before[i + 1].T - before[i].T > gapSeconds + Hair, -1);
            before = before[(broken + 1)..];
            double from = before.Max(p => p.V);
            if (t <= free || from - v < 3)
            {
                continue;
            }

            if (own.Where(p => p.T >= t + 6 - Hair).Select(p => (double?)p.T).FirstOrDefault() is not { } judged)
            {
                return null;
            }

            double sure = before.Last(p => p.V >= from - 1).T;
            if (Value(own, t + 3) is { } settled && Value(own, t + 5) is { } stays
                && from - settled >= 3 && from - stays >= 3 && from - stays >= 0.5 * (from - settled) && settled - stays <= 0.15 * (from - settled)
                && IsAlone(t + 3, settled) && IsAlone(t + 5, stays))
            {
                return sure;
            }

            free = judged;

            bool IsAlone(double at, double value)
            {
                var others = boards.Where(b => b != own).Select(b => (At: Value(b, at), Sure: Index(b, sure), Points: b)).Where(o => o.At is not null && o.Sure is not null).ToList();
                return others.Count >= 3
                    && others.All(o => o.Points.Skip(o.Sure!.Value).Where(p => p.T <= at + Hair).Max(p => p.V) - o.At!.Value <= Math.Max(1, 0.25 * (from - value)))
                    && 2 * others.Count(o => o.At > value + 1) > others.Count;
            }
        }

        return null;

        int? Index(List<(double T, double V)> points, double at) =>
            points.FindLastIndex(p => p.T <= at + Hair) is var i && i >= 0 && at - points[i].T <= gapSeconds + Hair ? i : null;

        double? Value(List<(double T, double V)> points, double at) => Index(points, at) is { } i ? points[i].V : null;
    }
}
