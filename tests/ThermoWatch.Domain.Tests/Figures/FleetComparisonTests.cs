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
/// without product sensors. Thousands with THERMOWATCH_FLEET=3000, another fleet with THERMOWATCH_FLEET_SEED.
/// </summary>
public class FleetComparisonTests(ITestOutputHelper output)
{
    private static readonly int s_runs =
        int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_FLEET"), CultureInfo.InvariantCulture, out int runs) ? runs : 16;

    private static readonly int s_seed =
        int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_FLEET_SEED"), CultureInfo.InvariantCulture, out int seed) ? seed : 21;

    // Half seconds are exact in binary: what lies at a window's edge is then the same for both.
    private static readonly FleetOptions s_fleet = new() { Runs = s_runs, Seed = s_seed, FaultShare = 0.5, Period = 5 * SimulatedCell.SamplePeriod };

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

    private static (RunPicture Run, List<EngineEvent> Events) Live(Recorded run)
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
        List<EngineEvent> events = Bench.Feed(engine,
        [
            new SpecInput(Bench.Epoch, "A", Bench.Sac305()),
            new StartRunInput(Bench.Epoch.AddSeconds(times[0]), "A", "test", run.Instrumented ? RunKind.Profile : RunKind.Production),
            .. times.Select(t => new ScanInput(new RawScan(
                0, Bench.Epoch.AddSeconds(t), [.. byTime.Select(d => d.TryGetValue(t, out double v) ? v : double.NaN)],
                [.. byTime.Select(d => d.ContainsKey(t) ? SignalQuality.Good : SignalQuality.Bad(QualityReason.NoReading))]))),
            new EndRunInput(Bench.Epoch.AddSeconds(times[^1]), "A", "test"),
        ]);
        return (engine.Picture().Runs[0], events);
    }

    /// <summary>The times from which on channels no longer show their joints, as each of the two finds them.</summary>
    private static void CompareLifted(Recorded run, List<EngineEvent> events, out int lifted)
    {
        List<(double T, double V)>[] boards = run.Temperatures[..^1];
        string?[] slow = [.. boards.Select((_, b) => SlowLift.LastSure(b, boards, 3) is { } sure ? Text($"tc{b + 1}", boards[b].First(p => p.T > sure).T) : null)];
        string[] found = [.. events.OfType<DetachedEvent>().GroupBy(e => e.ChannelId).Select(g => Text(g.Key, g.First().Reading.Time.SecondsSince(Bench.Epoch))).Order()];
        lifted = found.Length;
        Assert.True(slow.OfType<string>().Order().SequenceEqual(found), $"{run.Name}: off are {string.Join(", ", found)}, by the slow one {string.Join(", ", slow.OfType<string>())}");

        static string Text(string channel, double since) => string.Create(CultureInfo.InvariantCulture, $"{channel} from {since:0.###}");
    }

    /// <summary>No reading that the engine leaves out of a curve.</summary>
    private static bool HasSpike(List<(double T, double V)> curve) => Enumerable.Range(1, Math.Max(0, curve.Count - 2)).Any(i => curve[i + 1].T - curve[i - 1].T <= 3
        && Math.Abs(curve[i].V - Bench.At(curve[i].T, curve[i - 1], curve[i + 1])) > 10 && Math.Abs(curve[i + 1].V - curve[i - 1].V) <= 10 * (curve[i + 1].T - curve[i - 1].T));

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
        var offIn = new string?[s_runs];
        (int channels, int carriers, int chambers, int productions, int compared, int lifted) = (0, 0, 0, 0, 0, 0);
        Parallel.For(0, s_runs, i =>
        {
            try
            {
                Recorded run = Play(i + 1);
                (RunPicture judged, List<EngineEvent> events) = Live(run);
                FigureResult Common(string name) => judged.Figures.Single(f => f.Figure == name && f.ChannelId is null);
                double end = run.Pressure.Count == 0 ? 0 : run.Temperatures.Append([.. run.Pressure]).Where(c => c.Count > 0).Max(c => c[^1].T);
                List<(double T, double V)>[] boards = run.Temperatures[..^1];
                if (!boards.Any(HasSpike))
                {
                    CompareLifted(run, events, out int off);
                    Interlocked.Add(ref lifted, off);
                    offIn[i] = off > 0 ? run.Name[run.Name.IndexOf('(', StringComparison.Ordinal)..] : null;
                    Interlocked.Increment(ref compared);
                }

                // What a channel said after it had come off is left to nobody's judgement.
                foreach (IGrouping<string, DetachedEvent> off in events.OfType<DetachedEvent>().GroupBy(e => e.ChannelId))
                {
                    boards[int.Parse(off.Key[2..], CultureInfo.InvariantCulture) - 1].RemoveAll(p => Bench.Epoch.AddSeconds(p.T) >= off.First().Reading.Time);
                }

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

        output.WriteLine($"{channels} channels, {carriers} carriers, {chambers} chambers, {productions} production runs compared; {lifted} channels off in {compared} runs without a spike.");
        output.WriteLine(string.Join(", ", offIn.OfType<string>().GroupBy(k => k).OrderByDescending(g => g.Count()).Select(g => $"{g.Count()} {g.Key}")));
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
