using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Engine;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Fleet;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>
/// The engine against the slow implementation on fleets of simulated runs as their instruments gave them, sound and faulty, with and
/// without product sensors. Thousands with THERMOWATCH_FLEET=3000.
/// </summary>
public class FleetComparisonTests
{
    private static readonly int s_runs =
        int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_FLEET"), CultureInfo.InvariantCulture, out int runs) ? runs : 16;

    // Half seconds are exact in binary: what lies at a window's edge is then the same for both.
    private static readonly FleetOptions s_fleet = new() { Runs = s_runs, Seed = 21, FaultShare = 0.5, Period = 5 * SimulatedCell.SamplePeriod };

    private sealed record Recorded(string Name, bool Instrumented, List<(double T, double V)>[] Temperatures, List<(double T, double P)> Pressure);

    private static Recorded Play(int number)
    {
        FleetRun run = FleetRun.Play(FleetMember.Draw(s_fleet, number), s_fleet.Period);
        double born = run.Rows[0].Seconds;
        (double T, InstrumentFrame Said)[] rows = [.. run.Rows.Where(r => r.Arrived).Select(r => (Math.Round(r.Seconds - born, 3), r.Measured))];
        bool instrumented = run.Member.Scenario.Instrumented;
        int[] inputs = [.. Enumerable.Range(0, 2 * run.Member.Scenario.Boards).Where(_ => instrumented), SimulatedChannels.Vapour];
        return new Recorded(
            $"run {number} ({string.Join(' ', run.Label.Faults.Select(f => f.Kind))})", instrumented,
            [
                .. inputs.Select(i => rows.Select(r => (r.T, Celsius: Thermocouple.K.ToCelsius(r.Said.Millivolts(i), r.Said.ColdJunctionCelsius)))
                    .Where(r => r.Celsius.Quality.HasValue).Select(r => (r.T, Math.Round(r.Celsius.Value, 2))).ToList()),
            ],
            [.. rows.Where(r => r.Said.PressureMbar > 0).Select(r => (r.T, Math.Round(r.Said.PressureMbar, 3)))]);
    }

    private static RunPicture Live(Recorded run)
    {
        CellDefinition cell = Bench.Cell(run.Temperatures.Length - 1, rules: new CellRules { DetectRuns = false, GapLimit = TimeSpan.FromSeconds(3) });
        ChannelDefinition vapour = Bench.Channel("vapour", ChannelRole.Vapour, MeasuredUnit.DegreeCelsius, null);
        cell = cell with
        {
            Channels = [.. cell.Channels, vapour],
            Devices = [cell.Devices[0] with { Points = [.. cell.Devices[0].Points, "vapour"] }],
        };
        Dictionary<double, double>[] byTime =
        [
            .. run.Temperatures[..^1].Select(c => c.ToDictionary(p => p.T, p => p.V)), run.Pressure.ToDictionary(p => p.T, p => p.P),
            run.Temperatures[^1].ToDictionary(p => p.T, p => p.V),
        ];
        double[] times = [.. byTime.SelectMany(d => d.Keys).Distinct().Order()];
        var engine = new CellEngine(cell);
        Bench.Feed(engine,
        [
            new SpecInput(Bench.Epoch, "A", Bench.Sac305()),
            new StartRunInput(Bench.Epoch.AddSeconds(times[0]), "A", "test", run.Instrumented ? RunKind.Profile : RunKind.Production),
            .. times.Select(t => new ScanInput(new RawScan(
                0, Bench.Epoch.AddSeconds(t), [.. byTime.Select(d => d.TryGetValue(t, out double v) ? v : double.NaN)],
                [.. byTime.Select(d => d.ContainsKey(t) ? SignalQuality.Good : SignalQuality.Bad(QualityReason.NoReading))]))),
            new EndRunInput(Bench.Epoch.AddSeconds(times[^1]), "A", "test"),
        ]);
        return engine.Picture().Runs[0];
    }

    /// <summary>What the slow implementation knows how to follow: no gap, no spike, the whole of the record, and a board that was heated.</summary>
    private static bool IsWhole(List<(double T, double V)> curve, double end) =>
        curve.Count > 100 && curve[0].T <= 3 && end - curve[^1].T <= 3
        && curve.Zip(curve.Skip(1)).All(s => s.Second.T - s.First.T <= 3)
        && Enumerable.Range(1, curve.Count - 2).All(i => Math.Abs(curve[i].V - Bench.At(curve[i].T, curve[i - 1], curve[i + 1])) < 9)
        && curve.Max(p => p.V) > 60;

    [Fact]
    public void Every_figure_of_a_fleet_agrees_with_the_slow_implementation()
    {
        var wrong = new string?[s_runs];
        (int channels, int carriers, int chambers, int productions) = (0, 0, 0, 0);
        Parallel.For(0, s_runs, i =>
        {
            try
            {
                Recorded run = Play(i + 1);
                RunPicture judged = Live(run);
                FigureResult Common(string name) => judged.Figures.Single(f => f.Figure == name && f.ChannelId is null);
                double end = run.Pressure.Count == 0 ? 0 : run.Temperatures.Append([.. run.Pressure]).Where(c => c.Count > 0).Max(c => c[^1].T);
                List<(double T, double V)>[] boards = run.Temperatures[..^1];
                SlowCurve[] whole = [.. boards.Where(b => IsWhole(b, end)).Select(b => new SlowCurve(b, 3))];
                for (int b = 0; b < boards.Length; b++)
                {
                    if (IsWhole(boards[b], end))
                    {
                        string id = $"tc{b + 1}";
                        SlowComparisonTests.CompareChannel(new SlowCurve(boards[b], 3), name => judged.Figures.Single(f => f.Figure == name && f.ChannelId == id), run.Name);
                        Interlocked.Increment(ref channels);
                    }
                }

                bool all = whole.Length == boards.Length;
                if (all && run.Instrumented)
                {
                    SlowComparisonTests.CompareCarrier(whole, Common, run.Name);
                    Interlocked.Increment(ref carriers);
                }

                if (!all || run.Pressure.Count == 0 || run.Pressure[0].T > 3 || end - run.Pressure[^1].T > 3
                    || run.Pressure.Zip(run.Pressure.Skip(1)).Any(s => s.Second.T - s.First.T > 3))
                {
                    return;
                }

                var chamber = new SlowChamber(run.Pressure);
                List<SlowChamber.Step> steps = chamber.Steps();
                if (run.Instrumented)
                {
                    SlowChamberComparisonTests.Compare(chamber, steps, whole, Common, run.Name);
                    Interlocked.Increment(ref chambers);
                    return;
                }

                // Without product sensors the deepest step is the one that works on voids.
                SlowChamber.Step[] deepest = [.. steps.OrderBy(chamber.Lowest).Take(1)];
                SlowComparisonTests.Same(deepest.Length, Common("evacuations"), run.Name);
                if (deepest.Length > 0)
                {
                    SlowChamberComparisonTests.CompareChamber(chamber, deepest, Common, run.Name);
                    CompareVapour(run.Temperatures[^1], deepest[0].Start, Common, run.Name);
                    Interlocked.Increment(ref productions);
                }
            }
            catch (Exception failed) when (failed is Xunit.Sdk.XunitException or InvalidOperationException)
            {
                wrong[i] = failed is Xunit.Sdk.XunitException ? failed.Message : $"run {i + 1}: {failed}";
            }
        });

        string[] told = [.. wrong.OfType<string>()];
        Assert.True(told.Length == 0, $"{told.Length} of {s_runs}:\n{string.Join('\n', told.Take(10))}");
        Assert.True(
            channels > 2 * s_runs && carriers > s_runs / 4 && chambers > s_runs / 4 && productions > s_runs / 10,
            $"{channels} channels, {carriers} carriers, {chambers} chambers, {productions} production runs were compared: too few");
    }

    /// <summary>Median of the vapour in the last five seconds before the boards are evacuated.</summary>
    private static void CompareVapour(List<(double T, double V)> vapour, double until, Func<string, FigureResult> figure, string what)
    {
        double[] last = [.. vapour.Where(p => p.T >= until - 5 && p.T <= until).Select(p => p.V).Order()];
        int middle = last.Length / 2;
        SlowComparisonTests.Same(last.Length % 2 == 1 ? last[middle] : (last[middle - 1] + last[middle]) / 2, figure("vapourPlateau"), what);
        SlowComparisonTests.Same(null, figure("vapourDip"), what); // nothing of the time before the load is on record
    }
}
