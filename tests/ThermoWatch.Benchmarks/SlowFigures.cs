using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Benchmarks;

/// <summary>Some of a run's figures the way one first writes them: each by its own passes over lists. A peer, not a model.</summary>
internal static class SlowFigures
{
    public static double Of(CurveFile file)
    {
        double sum = 0;
        foreach (CurveColumn column in file.Columns.Where(c => c.Role == ChannelRole.Product))
        {
            (double T, double V)[] points = [.. file.Ticks.Zip(column.Values, (t, v) => (t / 1e7, v))];
            double peak = points.Max(p => p.V);
            double tp = points.First(p => p.V == peak).T;
            sum += peak + points.Zip(points.Skip(1)).Where(s => s.First.V >= 220 && s.Second.V >= 220).Sum(s => s.Second.T - s.First.T);
            sum += points.Where(p => p.T >= 5).Max(p => points.Where(q => q.T >= p.T - 5 && q.T <= p.T).Min(q => q.V));
            sum += points.Where(p => p.T <= tp - 5).Max(p => Slope([.. points.Where(q => q.T >= p.T && q.T <= p.T + 5)]));
        }

        return sum;
    }

    private static double Slope((double T, double V)[] points)
    {
        (double t, double v) = (points.Average(p => p.T), points.Average(p => p.V));
        return points.Sum(p => (p.T - t) * (p.V - v)) / points.Sum(p => (p.T - t) * (p.T - t));
    }
}
