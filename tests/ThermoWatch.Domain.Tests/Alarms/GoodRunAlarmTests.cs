using System.Globalization;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Simulator.Fleet;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>
/// Good runs of many machines, families, loads and days, half of them without a thermocouple on the product, must stay silent.
/// More with THERMOWATCH_FLEET (60 in a build, 1000 by hand before a release).
/// </summary>
public class GoodRunAlarmTests(ITestOutputHelper output)
{
    private static readonly int s_runs = int.Parse(Environment.GetEnvironmentVariable("THERMOWATCH_FLEET") ?? "60", CultureInfo.InvariantCulture);

    [Fact]
    public void A_thousand_good_runs_raise_no_more_than_five_alarms_together()
    {
        var options = new FleetOptions { Runs = s_runs, Seed = 2026, FaultShare = 0, ProductionShare = 0.5 };
        var cells = new Dictionary<(string, int, bool), Life>();
        foreach (int number in Enumerable.Range(1, options.Runs))
        {
            FleetMember member = FleetMember.Draw(options, number);
            (string, int, bool) kind = (member.Scenario.Family.ToString(), member.Scenario.Boards, member.Scenario.Instrumented);
            if (!cells.TryGetValue(kind, out Life? life))
            {
                cells[kind] = life = new Life(kind.Item2, kind.Item3);
            }

            life.Live(FleetRun.Play(member, options.Period));
        }

        AlarmEvent[] told = [.. cells.Values.SelectMany(c => c.Events).OfType<AlarmEvent>().Where(e => e.State == AlarmState.Unacknowledged)];
        foreach (IGrouping<string, AlarmEvent> condition in told.GroupBy(e => e.Condition))
        {
            output.WriteLine($"{condition.Key}: {condition.Count()}, such as {condition.First()}");
        }

        output.WriteLine($"{told.Length} alarms in {s_runs} runs.");
        Assert.Empty(cells.Values.SelectMany(c => c.Events).OfType<DetachedEvent>());
        Assert.Equal(s_runs, cells.Values.Sum(c => c.Events.OfType<RunEvent>().Count(e => e.State == RunState.Ended)));
        Assert.True(told.Length <= 5, $"{told.Length} alarms in {s_runs} good runs: {string.Join(", ", told.Select(e => e.AlarmId))}");
    }

    /// <summary>One cell that lives through runs one after another, so that what it learns and remembers is under test too.</summary>
    private sealed class Life
    {
        private readonly CellEngine _engine;
        private readonly bool _instrumented;
        private Timestamp _next = SimulatedRuns.Epoch;

        public Life(int boards, bool instrumented)
        {
            _instrumented = instrumented;
            _engine = new CellEngine(SimulatedRuns.Cell(instrumented, boards) with { Rules = new CellRules { DetectRuns = instrumented } });
            _engine.Advance(new SpecInput(_next, "A", SimulatedRuns.Spec), Events);
        }

        public List<EngineEvent> Events { get; } = [];

        public void Live(FleetRun run)
        {
            Timestamp last = _next;
            bool begun = _instrumented;
            foreach (EngineInput input in SimulatedRuns.Inputs(run, _next))
            {
                _engine.Advance(input, Events);
                last = input.Time;

                // Without product sensors the machine's own signal says when a run begins and ends.
                if (!begun)
                {
                    begun = true;
                    _engine.Advance(new StartRunInput(last, "A", "machine"), Events);
                }
            }

            if (!_instrumented)
            {
                _engine.Advance(new EndRunInput(last, "A", "machine"), Events);
            }

            _next = last.AddSeconds(30);
        }
    }
}
