using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;
using Spec = ThermoWatch.Domain.Specs.Spec;

namespace ThermoWatch.Domain.Tests.Figures;

public class FigurePropertyTests
{
    private const double GapSeconds = 1.5;

    private static readonly Spec s_spec = Bench.Sac305() with { Vacuum = null };

    private static ImmutableArray<FigureResult> Figures(IReadOnlyList<(double T, double V)>[] curves) =>
        SlowComparisonTests.Judge(curves, s_spec, GapSeconds).Figures;

    [Fact]
    public void Reading_added_on_the_line_changes_no_crossing_and_no_sum()
    {
        string[] unmoved = ["peakTemperature", "sustainedPeak", "timeAboveLiquidus", "longestAboveLiquidus", "timeNearPeak", "soakTime", "preheatRate",
            "heatingRate", "slopeAtLiquidus", "rampUpRate", "coolingRate", "rampDownRate", "timeToPeak", "heatAboveLiquidus", "peakSpread", "liquidusSpread", "greatestSpread"];
        for (int seed = 100; seed < 130; seed++)
        {
            var random = new Random(seed);
            List<(double T, double V)>[] curves = SlowComparisonTests.RandomRun(random, gaps: false);
            ImmutableArray<FigureResult> before = Figures(curves);
            foreach (List<(double T, double V)> curve in curves)
            {
                for (int n = 0; n < 20; n++)
                {
                    int i = random.Next(curve.Count - 1);
                    double t = Math.Round(curve[i].T + ((curve[i + 1].T - curve[i].T) * random.NextDouble()), 4);
                    if (t > curve[i].T && t < curve[i + 1].T)
                    {
                        curve.Insert(i + 1, (t, Bench.At(t, curve[i], curve[i + 1])));
                    }
                }
            }

            ImmutableArray<FigureResult> after = Figures(curves);
            for (int i = 0; i < before.Length; i++)
            {
                if (unmoved.Contains(before[i].Figure))
                {
                    Assert.Equal(before[i].Reason, after[i].Reason);
                    Assert.Equal(before[i].Value ?? before[i].Low ?? 0, after[i].Value ?? after[i].Low ?? 0, 1e-6);
                }
            }
        }
    }

    [Fact]
    public void Removed_readings_widen_bounds_and_never_move_a_figure()
    {
        int undetermined = 0;
        for (int seed = 200; seed < 400; seed++)
        {
            var random = new Random(seed);
            List<(double T, double V)>[] curves = SlowComparisonTests.RandomRun(random, gaps: false);
            ImmutableArray<FigureResult> whole = Figures(curves);
            double from = 5 + (random.NextDouble() * 300);
            double length = 2 + (random.NextDouble() * 8);
            int first = random.Next(3);
            for (int c = first; c < (random.Next(2) == 0 ? first + 1 : 3); c++)
            {
                curves[c].RemoveAll(p => p.T > from && p.T < from + length);
            }

            ImmutableArray<FigureResult> holed = Figures(curves);
            for (int i = 0; i < whole.Length; i++)
            {
                (FigureResult before, FigureResult after) = (whole[i], holed[i]);
                string what = $"seed {seed}: {before.Figure}/{before.ChannelId} was {before.Value} ({before.Reason}), without {from:0.0} to {from + length:0.0} s it is {after.Value} [{after.Low}, {after.High}] ({after.Reason})";
                if (after.Value is { } value)
                {
                    Assert.True(before.Value is { } known && Math.Abs(known - value) < 1e-6, what);
                }
                else if (after.Low is not null || after.High is not null)
                {
                    double low = before.Value ?? before.Low!.Value;
                    Assert.True(low >= (after.Low ?? double.NegativeInfinity) - 1e-6 && (before.Value ?? before.High ?? double.PositiveInfinity) <= (after.High ?? double.PositiveInfinity) + 1e-6, what);
                }
                else
                {
                    Assert.True(after.Reason != FigureReasons.NeverReached || before.Reason == FigureReasons.NeverReached, what);
                }

                undetermined += after.Value is null && before.Value is not null ? 1 : 0;
            }
        }

        Assert.True(undetermined > 500, $"only {undetermined} figures were touched by what was removed");
    }

    [Fact]
    public void Removed_readings_never_turn_a_pass_into_a_fail_or_a_fail_into_a_pass()
    {
        (int passed, int failed, int opened) = (0, 0, 0);
        for (int seed = 400; seed < 500; seed++)
        {
            var random = new Random(seed);
            List<(double T, double V)>[] curves = SlowComparisonTests.RandomRun(random, gaps: false);

            // A limit on every figure, just beside what the whole run has: the least that moves it could flip it.
            Limit[] limits =
            [
                .. Figures(curves).Where(f => f.Value is not null).DistinctBy(f => f.Figure).Select(f => random.Next(2) == 0
                    ? new Limit { Figure = f.Figure, Upper = f.Value + ((random.NextDouble() - 0.4) * 0.02 * Math.Abs(f.Value!.Value)) }
                    : new Limit { Figure = f.Figure, Lower = f.Value + ((random.NextDouble() - 0.6) * 0.02 * Math.Abs(f.Value!.Value)) }),
            ];
            Spec spec = s_spec with { Limits = [.. limits] };
            RunPicture whole = SlowComparisonTests.Judge(curves, spec, GapSeconds);
            double from = 5 + (random.NextDouble() * 315);
            double length = 2 + (random.NextDouble() * 12);
            int first = random.Next(3);
            for (int c = first; c < (random.Next(2) == 0 ? first + 1 : 3); c++)
            {
                curves[c].RemoveAll(p => p.T > from && p.T < from + length);
            }

            RunPicture holed = SlowComparisonTests.Judge(curves, spec, GapSeconds);
            foreach ((FigureResult before, FigureResult after) in whole.Figures.Zip(holed.Figures))
            {
                Assert.True(
                    before.Verdict == after.Verdict || before.Verdict is null or Verdict.Undetermined || after.Verdict == Verdict.Undetermined,
                    $"seed {seed}: {before.Figure}/{before.ChannelId} {before.Value} was {before.Verdict}, without {from:0.0} to {from + length:0.0} s it is {after.Verdict} by {after.Value} [{after.Low}, {after.High}] ({after.Reason})");
                passed += before.Verdict == Verdict.Pass ? 1 : 0;
                failed += before.Verdict == Verdict.Fail ? 1 : 0;
                opened += before.Verdict is Verdict.Pass or Verdict.Fail && after.Verdict == Verdict.Undetermined ? 1 : 0;
            }

            Assert.True(whole.Verdict == holed.Verdict || whole.Verdict == Verdict.Undetermined || holed.Verdict == Verdict.Undetermined, $"seed {seed}");
        }

        Assert.True(passed > 500 && failed > 500 && opened > 100, $"{passed} passed, {failed} failed, {opened} became undetermined: too few to tell");
    }

    [Fact]
    public void Order_in_which_channels_arrive_changes_no_figure()
    {
        // Two devices, read at their own times; once in the order of time, once each device in blocks of five seconds.
        var cell = Bench.Cell(2, pressure: false, rules: new CellRules { DetectRuns = false });
        cell = cell with
        {
            Devices = [new("d", "first", TimeSpan.FromSeconds(0.5), ["tc1"]), new("e", "second", TimeSpan.FromSeconds(0.5), ["tc2"])],
            Channels = [cell.Channels[0], cell.Channels[1] with { Device = "e" }],
        };
        ScanInput Scan(int device, int i) => new(new RawScan(
            device, Bench.Epoch.AddSeconds((i * 0.5) + (device * 0.2)), [Bench.Board(60 + (i * 0.5) + (device * 0.2), device)], [SignalQuality.Good]));
        string Judge(IEnumerable<EngineInput> scans)
        {
            var engine = new CellEngine(cell);
            Bench.Feed(engine, scans.Prepend(new StartRunInput(Bench.Epoch, "A", "test")).Prepend(new SpecInput(Bench.Epoch, "A", s_spec))
                .Append(new EndRunInput(Bench.Epoch.AddSeconds(400), "A", "test")));
            return System.Text.Json.JsonSerializer.Serialize(engine.Picture().Runs);
        }

        IEnumerable<EngineInput> inTurn = Enumerable.Range(0, 700).SelectMany(i => new[] { Scan(0, i), Scan(1, i) });
        IEnumerable<EngineInput> inBlocks = Enumerable.Range(0, 70).SelectMany(b => Enumerable.Range(b * 10, 10).Select(i => Scan(0, i)).Concat(Enumerable.Range(b * 10, 10).Select(i => Scan(1, i))));
        Assert.Equal(Judge(inTurn), Judge(inBlocks));
    }
}
