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
            if (t <= free || from - v < 1)
            {
                continue;
            }

            if (own.Where(p => p.T >= t + 6 - Hair).Select(p => (double?)p.T).FirstOrDefault() is not { } judged)
            {
                return null;
            }

            double sure = before.Last(p => p.V >= from - 0.5).T;
            if (Index(own, t + 3) is { } settled && Index(own, t + 5) is { } stays)
            {
                ((double t3, double v3), (double t5, double v5)) = (own[settled], own[stays]);
                double fall = Drawdown(own, sure, t + 5);
                bool straight = own.Where(p => p.T > t3 && p.T < t5).All(p => Math.Abs(p.V - v3 - ((v5 - v3) * (p.T - t3) / (t5 - t3))) <= Math.Max(1, 0.05 * fall));
                if (straight && ShortOf(t + 3, v3) is { } first && ShortOf(t + 5, v5) is { } last
                    && first >= 3 && last >= 3 && last >= first / 2 && v3 - v5 <= 0.15 * first)
                {
                    return sure;
                }

                double? ShortOf(double at, double value)
                {
                    List<List<(double T, double V)>> others = [.. boards.Where(b => b != own && Index(b, at) is not null && Index(b, sure) is not null)];
                    double[] changes = [.. others.Select(b => Value(b, at)!.Value - Value(b, sure)!.Value).Order()];
                    bool low = 2 * others.Count(b => Value(b, at) > value + 1) > others.Count;
                    bool alone = others.All(b => Drawdown(b, b[Index(b, sure)!.Value].T, at) <= fall / 2);
                    return others.Count >= 3 && low && alone
                        ? ((changes[(changes.Length - 1) / 2] + changes[changes.Length / 2]) / 2) - (value - from)
                        : null;
                }
            }

            free = judged;
        }

        return null;

        int? Index(List<(double T, double V)> points, double at) =>
            points.FindLastIndex(p => p.T <= at + Hair) is var i && i >= 0 && at - points[i].T <= gapSeconds + Hair ? i : null;

        double Drawdown(List<(double T, double V)> points, double begin, double end)
        {
            (double T, double V)[] inside = [.. points.Where(p => p.T >= begin - Hair && p.T <= end + Hair)];
            return inside.Select((p, i) => inside.Take(i + 1).Max(q => q.V) - p.V).Max();
        }

        double? Value(List<(double T, double V)> points, double at) => Index(points, at) is { } i ? points[i].V : null;
    }
}
