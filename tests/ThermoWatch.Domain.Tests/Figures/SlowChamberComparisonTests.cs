using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Engine;
using Spec = ThermoWatch.Domain.Specs.Spec;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>Two carriers at once and the chamber that they share, against a slow implementation of the definitions.</summary>
public class SlowChamberComparisonTests
{
    private const double Liquidus = 217;
    internal const double Target = 50;
    private const double Behind = 150;

    private static readonly Spec s_spec = Bench.Sac305();

    /// <summary>An evacuation for each carrier when its board is hot, sometimes a dip that is none, sometimes two steps.</summary>
    private static List<(double T, double P)> RandomChamber(Random random)
    {
        double rest = 960 + (random.NextDouble() * 70);
        List<(double, double)> shape = [(0, rest)];
        foreach (double at in new[] { 0, Behind })
        {
            double t = at + 205 + (random.NextDouble() * 15);
            if (random.Next(3) == 0)
            {
                shape.AddRange([(at + 120, rest), (at + 123, 0.7 * rest), (at + 128, 0.7 * rest), (at + 130, rest)]);
            }

            double low = 3 + (random.NextDouble() * (random.Next(6) == 0 ? 90 : 30));
            for (int steps = random.Next(5) == 0 ? 2 : 1; steps > 0; steps--)
            {
                double fall = 4 + (random.NextDouble() * 6);
                shape.AddRange([(t, rest), (t + (fall / 3), rest / 3), (t + (2 * fall / 3), rest / 10), (t + fall, low), (t + fall + 5, low), (t + fall + 8, rest * (0.97 + (random.NextDouble() * 0.1)))]);
                t += fall + 16;
            }

            shape.Add((t - 2, rest));
        }

        shape.Add((600, rest));
        List<(double, double)> points = [];
        for (double t = 0; t < 330 + Behind; t = Math.Round(t + 0.15 + (0.1 * random.NextDouble()), 3))
        {
            points.Add((t, Bench.At(t, [.. shape]) * (1 + ((random.NextDouble() - 0.5) * 0.004))));
        }

        return points;
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Two_carriers_and_their_chamber_agree_with_the_slow_implementation(int block)
    {
        int evacuations = 0;
        for (int seed = block * Seeds; seed < (block + 1) * Seeds; seed++)
        {
            var random = new Random(10_000 + seed);
            List<(double T, double V)>[] a = SlowComparisonTests.RandomRun(random, gaps: false);
            List<(double T, double V)>[] b = [.. SlowComparisonTests.RandomRun(random, gaps: false).Select(c => c.Select(p => (Math.Round(p.T + Behind, 3), p.V)).ToList())];
            List<(double T, double P)> pressure = RandomChamber(random);
            RunPicture[] runs = Live(a, b, pressure);

            var chamber = new SlowChamber(pressure);
            SlowCurve[][] carriers = [[.. a.Select(c => new SlowCurve(c, 3))], [.. b.Select(c => new SlowCurve(c, 3))]];
            List<SlowChamber.Step>[] owned = [[], []];
            foreach (SlowChamber.Step step in chamber.Steps())
            {
                double[] hottest = [.. carriers.Select(c => c[0].Points[0].T <= step.Start && c[0].Points[^1].T > step.Start + 3 ? c.Max(x => x.ValueAt(step.Start)) : double.NegativeInfinity)];
                owned[hottest[1] > hottest[0] ? 1 : 0].Add(step);
            }

            for (int c = 0; c < 2; c++)
            {
                evacuations += owned[c].Count;
                Compare(chamber, owned[c], carriers[c], name => runs[c].Figures.Single(f => f.Figure == name), $"seed {seed} carrier {c}");
                for (int i = 0; i < 3; i++)
                {
                    SlowComparisonTests.CompareChannel(
                        carriers[c][i], name => runs[c].Figures.Single(f => f.Figure == name && f.ChannelId == $"{"AB"[c]}{i + 1}"), $"seed {seed} carrier {c}");
                }
            }
        }

        Assert.True(evacuations > 2 * Seeds, $"only {evacuations} evacuations were found in {2 * Seeds} runs");
    }

    /// <summary>Pairs of runs a block; the environment asks for thousands.</summary>
    private static int Seeds => int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_RUN_PAIRS"), out int wanted) ? wanted : 8;

    private static RunPicture[] Live(List<(double T, double V)>[] a, List<(double T, double V)>[] b, List<(double T, double P)> pressure)
    {
        CellDefinition cell = Bench.Cell(3, rules: new CellRules { DetectRuns = false, GapLimit = TimeSpan.FromSeconds(3) }, carriers: ["A", "B"]);
        Dictionary<double, double>[] byTime = [.. a.Concat(b).Select(c => c.ToDictionary(p => p.T, p => p.V)), pressure.ToDictionary(p => p.T, p => p.P)];
        List<EngineInput> inputs = [];
        foreach ((string name, List<(double T, double V)>[] curves) in new[] { ("A", a), ("B", b) })
        {
            inputs.Add(new SpecInput(Bench.Epoch, name, s_spec));
            inputs.Add(new StartRunInput(Bench.Epoch.AddSeconds(curves[0][0].T), name, "test"));
            inputs.Add(new EndRunInput(Bench.Epoch.AddSeconds(curves[0][^1].T), name, "test"));
        }

        inputs.AddRange(byTime.SelectMany(d => d.Keys).Distinct().Select(t => new ScanInput(new RawScan(
            0, Bench.Epoch.AddSeconds(t), [.. byTime.Select(d => d.TryGetValue(t, out double v) ? v : double.NaN)],
            [.. byTime.Select(d => d.ContainsKey(t) ? SignalQuality.Good : SignalQuality.Bad(QualityReason.NoReading))]))));
        var engine = new CellEngine(cell);
        Bench.Feed(engine, inputs.OrderBy(i => i.Time).ThenBy(i => i is StartRunInput ? 0 : i is EndRunInput ? 2 : 1));
        return [.. engine.Picture().Runs];
    }

    internal static void Compare(SlowChamber chamber, List<SlowChamber.Step> steps, SlowCurve[] curves, Func<string, FigureResult> figure, string what)
    {
        SlowChamber.Step[] voids = [.. steps.Where(s => curves.Any(c => c.ValueAt(s.Start) >= Liquidus - 30))];
        SlowComparisonTests.Same(voids.Length, figure("evacuations"), what);
        if (voids.Length == 0)
        {
            return;
        }

        CompareChamber(chamber, voids, figure, what);
        double?[] molten = [.. curves.Select(c => c.Settled(Liquidus))];
        double?[] entry = [.. curves.Select(c => c.FirstRising(c.Points.Max(p => p.V) - 1))];
        SlowComparisonTests.Same(molten.All(m => m is not null) ? voids[0].Start - molten.Max() : null, figure("moltenToEvacuation"), what);
        SlowComparisonTests.Same(voids[0].Start - entry.Max(), figure("peakToEvacuation"), what);
        SlowComparisonTests.Same(curves.Min(c => c.ValueAt(voids[0].Start)) - Liquidus, figure("moltenAtEvacuation"), what);
        SlowComparisonTests.Same(curves.Min(c => c.ValueAt(voids[^1].End)) - Liquidus, figure("moltenAtVentEnd"), what);
        SlowComparisonTests.Same(voids.Sum(s => chamber.Below(s, Target, curves, Liquidus)), figure("moltenVacuum"), what);
    }

    /// <summary>What the gauge alone shows of evacuations that work on voids.</summary>
    internal static void CompareChamber(SlowChamber chamber, SlowChamber.Step[] voids, Func<string, FigureResult> figure, string what)
    {
        double?[] pump = [.. voids.Select(s => chamber.PumpDown(s, Target))];
        double?[] left = [.. voids.Select(s => chamber.Left(s, Target))];
        bool reached = pump.All(p => p is not null);
        SlowComparisonTests.Same(reached ? pump.Max() : null, figure("pumpDownTime"), what);
        SlowComparisonTests.Same(voids.Min(chamber.Lowest), figure("lowestPressure"), what);
        SlowComparisonTests.Same(voids.Sum(s => chamber.Below(s, Target, [], 0)), figure("vacuumHold"), what);
        SlowComparisonTests.Same(reached ? voids.Select((s, i) => s.End - left[i]!.Value).Max() : null, figure("ventTime"), what);
        SlowComparisonTests.Same(
            voids.Select((s, i) => chamber.Steepest(s.Start, pump[i] is { } p ? s.Start + p : s.End, 1, 5, -1, Math.Log)).Max(), figure("steepestEvacuation"), what);
        SlowComparisonTests.Same(
            reached ? voids.Select((s, i) => chamber.Steepest(left[i]!.Value, s.End, 0.5, 3, 1, p => p)).Max() : null, figure("steepestVent"), what, 1e-5);
        SlowComparisonTests.Same(voids.Max(s => s.Rest / chamber.Lowest(s)), figure("voidExpansion"), what);
    }
}
