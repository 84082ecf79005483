using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>The engine against a slow implementation of the definitions, on random runs.</summary>
public class SlowComparisonTests
{
    private const double Liquidus = 217;

    /// <summary>A random run: three sensors, noise below the spike rule, uneven steps, some of them with gaps.</summary>
    internal static List<(double T, double V)>[] RandomRun(Random random, bool gaps)
    {
        double peak = 205 + (random.NextDouble() * 45);
        double noise = random.NextDouble() * 0.5;
        var curves = Enumerable.Range(0, 3).Select(_ => new List<(double, double)>()).ToArray();
        (double, double)[] shape = [(0, 20 + (random.NextDouble() * 30)), (70, 150), (150, 175), (200 + (20 * random.NextDouble()), peak), (240, peak - (5 * random.NextDouble())), (270, 205), (330, 60 + (random.NextDouble() * 120))];
        double[] lags = [0, random.NextDouble() * 6, random.NextDouble() * 10];
        double[] offsets = [0, random.NextDouble() * 4, -random.NextDouble() * 6];
        double quiet = gaps ? random.NextDouble() * 320 : double.PositiveInfinity;
        double quietLength = 1 + (random.NextDouble() * 8);
        for (double t = 0; t < 330; t = Math.Round(t + 0.4 + (0.2 * random.NextDouble()), 3))
        {
            for (int c = 0; c < 3; c++)
            {
                if (c == 2 || t < quiet || t > quiet + quietLength)
                {
                    curves[c].Add((t, Bench.At(t - lags[c], shape) + offsets[c] + ((random.NextDouble() - 0.5) * noise)));
                }
            }
        }

        return curves;
    }

    internal static RunPicture Judge(IReadOnlyList<(double T, double V)>[] curves, Spec spec, double gapSeconds)
    {
        var engine = new CellEngine(Bench.Cell(curves.Length, pressure: false, rules: new CellRules { DetectRuns = false, GapLimit = TimeSpan.FromSeconds(gapSeconds) }));
        Dictionary<double, double>[] byTime = [.. curves.Select(c => c.ToDictionary(p => p.T, p => p.V))];
        double[] times = [.. byTime.SelectMany(d => d.Keys).Distinct().Order()];
        List<EngineInput> inputs = [new SpecInput(Bench.Epoch, "A", spec), new StartRunInput(Bench.Epoch.AddSeconds(times[0]), "A", "test")];
        inputs.AddRange(times.Select(t => new ScanInput(new RawScan(
            0, Bench.Epoch.AddSeconds(t), [.. byTime.Select(d => d.TryGetValue(t, out double v) ? v : double.NaN)],
            [.. byTime.Select(d => d.ContainsKey(t) ? SignalQuality.Good : SignalQuality.Bad(QualityReason.NoReading))]))));
        inputs.Add(new EndRunInput(Bench.Epoch.AddSeconds(times[^1]), "A", "test"));
        Bench.Feed(engine, inputs);
        return engine.Picture().Runs[0];
    }

    internal static void Same(double? expected, FigureResult actual, string what, double tolerance = 1e-6)
    {
        if (expected is { } value && double.IsFinite(value))
        {
            Assert.True(actual.Value is not null, $"{what} {actual.Figure}/{actual.ChannelId}: expected {value}, was {actual.Reason}");
            Assert.True(Math.Abs(value - actual.Value!.Value) <= tolerance, $"{what} {actual.Figure}/{actual.ChannelId}: expected {value}, was {actual.Value}");
        }
        else
        {
            Assert.True(actual.Value is null, $"{what} {actual.Figure}/{actual.ChannelId}: expected none, was {actual.Value}");
        }
    }

    [Fact]
    public void Figures_of_whole_runs_agree_with_the_slow_implementation()
    {
        for (int seed = 0; seed < 20; seed++)
        {
            List<(double T, double V)>[] curves = RandomRun(new Random(seed), gaps: false);
            RunPicture run = Judge(curves, Bench.Sac305() with { Vacuum = null }, 3);
            SlowCurve[] slow = [.. curves.Select(c => new SlowCurve(c, 3))];
            for (int i = 0; i < 3; i++)
            {
                CompareChannel(slow[i], name => run.Figures.Single(f => f.Figure == name && f.ChannelId == $"tc{i + 1}"), $"seed {seed}");
            }

            CompareCarrier(slow, name => run.Figures.Single(f => f.Figure == name), $"seed {seed}");
        }
    }

    internal static void CompareChannel(SlowCurve c, Func<string, FigureResult> figure, string what)
    {
        double peak = c.Points.Max(p => p.V);
        double tp = c.Points.First(p => p.V == peak).T;
        double? soak1 = c.Settled(150);
        double? soak2 = c.Settled(200);
        double? molten = c.Settled(Liquidus);
        double? entry = c.FirstRising(peak - 1);
        double? exit = c.LastFalling(peak - 1);
        double? frozen = peak >= Liquidus ? c.LastFalling(Liquidus) : null;
        bool above = c.Points[^1].V > Liquidus;
        Same(peak, figure("peakTemperature"), what);
        Same(c.Sustained(), figure("sustainedPeak"), what);
        Same(above ? null : SlowCurve.TimeAbove(c.Points, Liquidus), figure("timeAboveLiquidus"), what);
        Same(above ? null : SlowCurve.LongestAbove(c.Points, Liquidus, 1), figure("longestAboveLiquidus"), what);
        Same(above ? null : SlowCurve.HeatAbove(c.Points, Liquidus), figure("heatAboveLiquidus"), what, 1e-5);
        Same(c.Points[^1].V > peak - 5 ? null : SlowCurve.TimeAbove(c.Points, peak - 5), figure("timeNearPeak"), what);
        Same(soak2 - soak1, figure("soakTime"), what);
        double t0 = c.Points[0].V >= 40 ? c.Points[0].T : c.Settled(40)!.Value;
        Same((150 - Math.Max(40, c.Points[0].V)) / (soak1 - t0), figure("preheatRate"), what);
        Same((Liquidus - 200) / (molten - soak2), figure("heatingRate"), what);
        Same(20 / (c.Settled(Liquidus + 10) - c.Settled(Liquidus - 10)), figure("slopeAtLiquidus"), what);
        Same(c.Steepest(c.Points[0].T, tp, 5, 1), figure("steepestHeating"), what);
        Same(c.Steepest(tp, c.Points[^1].T, 5, -1), figure("steepestCooling"), what);
        Same(peak <= Liquidus + 1 ? null : (peak - 1 - Liquidus) / (entry - molten), figure("rampUpRate"), what);
        Same(peak <= Liquidus + 1 ? null : (peak - 1 - Liquidus) / (frozen - exit), figure("rampDownRate"), what);
        Same(50 / ((frozen is { } f ? c.FirstFallingAfter(f, Liquidus - 50) : null) - frozen), figure("coolingRate"), what);
        Same(entry - (c.Points[0].V >= 25 ? c.Points[0].T : c.Settled(25)), figure("timeToPeak"), what);
    }

    internal static void CompareCarrier(SlowCurve[] slow, Func<string, FigureResult> figure, string what)
    {
        Same(slow.Max(c => c.Points.Max(p => p.V)) - slow.Min(c => c.Points.Max(p => p.V)), figure("peakSpread"), what);
        double?[] molten = [.. slow.Select(c => c.Settled(Liquidus))];
        double?[] soak = [.. slow.Select(c => c.Settled(150))];
        bool all = molten.All(m => m is not null);
        Same(all ? molten.Max() - molten.Min() : null, figure("liquidusSpread"), what);
        double end = slow.Min(c => c.Points[^1].T);
        double[] times = [.. slow.SelectMany(c => c.Points.Select(p => p.T)).Distinct().Where(t => t <= end).Order()];
        double Spread(double t) => slow.Max(c => c.ValueAt(t)) - slow.Min(c => c.ValueAt(t));
        double[] between = all ? [soak.Min()!.Value, .. times.Where(t => t > soak.Min() && t < molten.Max()), molten.Max()!.Value] : [];
        Same(all ? between.Max(Spread) : null, figure("greatestSpread"), what);
        if (molten.All(m => m is null) || soak.Any(s => s is null))
        {
            return;
        }

        (double from, double until) = (soak.Max()!.Value, molten.Min()!.Value);
        double[] corners = [from, .. times.Where(t => t > from && t <= until)];
        double least = double.PositiveInfinity;
        foreach (double t in corners.Skip(1).Where(t => t - 5 >= from))
        {
            // The spread is compared at readings and joined by straight lines: its mean is a sum of trapezia.
            var line = new SlowCurve([.. corners.Select(x => (x, Spread(x)))], 1000);
            double[] inside = [t - 5, .. corners.Where(x => x > t - 5 && x <= t)];
            double area = Enumerable.Range(0, inside.Length - 1).Sum(i => (line.ValueAt(inside[i]) + line.ValueAt(inside[i + 1])) / 2 * (inside[i + 1] - inside[i]));
            least = Math.Min(least, area / 5);
        }

        Same(least, figure("soakEndSpread"), what);
    }

    [Fact]
    public void Bounds_across_gaps_agree_with_the_highest_and_lowest_curve_that_fits()
    {
        int bounded = 0;
        for (int seed = 0; seed < 200; seed++)
        {
            List<(double T, double V)> curve = RandomRun(new Random(seed), gaps: true)[0];
            if (curve[^1].V > Liquidus)
            {
                continue;
            }

            RunPicture run = Judge([curve], Bench.Sac305() with { Vacuum = null }, 1.5);
            var slow = new SlowCurve(curve, 1.5);
            List<(double T, double V)> low = slow.Envelope(upper: false);
            List<(double T, double V)> high = slow.Envelope(upper: true);
            Check("peakTemperature", line => line.Max(p => p.V), lowIsRecord: curve.Max(p => p.V));
            Check("timeAboveLiquidus", line => SlowCurve.TimeAbove(line, Liquidus));
            Check("longestAboveLiquidus", line => SlowCurve.LongestAbove(line, Liquidus, 1));
            Check("heatAboveLiquidus", line => SlowCurve.HeatAbove(line, Liquidus));

            void Check(string name, Func<IReadOnlyList<(double T, double V)>, double> of, double? lowIsRecord = null)
            {
                FigureResult figure = run.Figures.Single(f => f.Figure == name);
                (double least, double most) = (lowIsRecord ?? of(low), of(high));
                bounded += figure.Value is null ? 1 : 0;
                string what = $"seed {seed} {name}: expected {least} to {most}, was {figure.Value ?? figure.Low} to {figure.Value ?? figure.High}";
                Assert.True(Math.Abs(least - (figure.Value ?? figure.Low!.Value)) < 1e-6, what);
                Assert.True(Math.Abs(most - (figure.Value ?? figure.High!.Value)) < 1e-6, what);
            }
        }

        Assert.True(bounded > 50, $"only {bounded} figures had bounds: the gaps lie where they do not matter");
    }
}
