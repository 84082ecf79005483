using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>Days that a floor knows, played by the simulator and held against what was true.</summary>
public class SituationAlarmTests
{
    private static List<AlarmEvent> Live(string scenario, int runs, Spec? spec = null, Func<Scenario, Scenario>? change = null) =>
        Live(ScenarioLibrary.Find(scenario)!, runs, spec, change);

    private static List<AlarmEvent> Live(Scenario scenario, int runs, Spec? spec, Func<Scenario, Scenario>? change)
    {
        scenario = change?.Invoke(scenario) ?? scenario;
        var engine = new CellEngine(SimulatedRuns.Cell());
        var events = new List<EngineEvent>();
        engine.Advance(new SpecInput(SimulatedRuns.Epoch, "A", spec ?? SimulatedRuns.Spec), events);
        foreach (EngineInput input in SimulatedRuns.Inputs(scenario, runs))
        {
            engine.Advance(input, events);
        }

        return [.. events.OfType<AlarmEvent>()];
    }

    private static IEnumerable<AlarmEvent> Told(IEnumerable<AlarmEvent> alarms, string condition) =>
        alarms.Where(a => a.Condition == condition && a.State == AlarmState.Unacknowledged);

    private static Spec With(params Limit[] limits) => SimulatedRuns.Spec with { Limits = [.. limits] };

    [Fact]
    public void A_hundred_good_runs_of_several_loads_are_silent() => Assert.Empty(Live("hundred-good-runs", 100));

    [Fact]
    public void A_pre_vacuum_is_not_cold_and_its_waits_are_not_slow()
    {
        // 600 mbar are too shallow for an evacuation; the wait at 100 mbar belongs to the one that follows.
        Spec spec = With(new Limit { Figure = "moltenAtEvacuation", Lower = 3 }, new Limit { Figure = "pumpDownTime", Upper = 40 });
        Assert.Empty(Live("stepped-vacuum", 2, spec));
    }

    [Fact]
    public void A_vent_that_overshoots_and_a_gauge_that_drifts_raise_nothing() => Assert.Empty(Live("overshooting-vent", 5));

    [Fact]
    public void A_recipe_without_vacuum_is_said_within_ten_seconds_of_knowing()
    {
        Scenario scenario = ScenarioLibrary.Find("recipe-without-vacuum")!;
        AlarmEvent said = Told(Live("recipe-without-vacuum", 3), "unexpectedVacuum").First();

        // Known is it when the last place has gone solid without an evacuation.
        var cell = new SimulatedCell(new SimulatorOptions { Seed = 1 }, scenario);
        double? solid = null;
        bool molten = false;
        for (TimeSpan at = TimeSpan.Zero; solid is null; at += SimulatedCell.SamplePeriod)
        {
            cell.AdvanceTo(at);
            molten |= cell.Truth.RunNumber == 3 && cell.Truth.ProductCelsius.All(t => t > 220);
            solid = molten && cell.Truth.ProductCelsius.All(t => t < 217) ? at.TotalSeconds : null;
        }

        Assert.InRange(said.Time.SecondsSince(SimulatedRuns.Epoch) - solid!.Value, -1, 10);
        Assert.Equal((0, 1, 3), (said.Value!.Value, said.Limit!.Value, said.Run!.Value));
    }

    [Fact]
    public void A_programme_that_stops_with_boards_in_vapour_is_told_once_the_usual_is_known()
    {
        // Ten good runs first: what is usual must have been seen.
        List<AlarmEvent> alarms = Live("power-dip", 12, change: s => s with { Runs = [.. s.Runs.Select(r => r with { From = 12, To = 12, Faults = [.. r.Faults.Where(f => f.Kind == FaultKind.ProgrammeStopped)] })] });
        AlarmEvent stopped = Told(alarms, "cycleStopped").Single();
        Assert.Equal(12, stopped.Run);
        Assert.True(stopped.Value > stopped.Limit + 5);
        AlarmEvent tooLong = Told(alarms, "timeAboveLiquidus").Single(); // eight places, one call
        Assert.True(stopped.Time < tooLong.Time, "that the programme has stopped is told before the limit is broken");
        Assert.InRange(stopped.Deadline!.Value.SecondsSince(tooLong.Time), -10, 10);
        Assert.Contains(alarms, a => a is { Condition: "cycleStopped", Signal: AlarmSignal.ConditionClears });
        Assert.Equal(7, alarms.Count(a => a is { Condition: "timeAboveLiquidus", Signal: AlarmSignal.ConditionActive, State: AlarmState.SuppressedByDesign }));
    }

    [Fact]
    public void Weather_and_heavy_boards_accuse_no_sensor_and_are_no_alarm_under_three_runs()
    {
        // Aged by 1 K and 53 hPa down: the weather's share is taken off, and what is left is not worth an alarm.
        List<AlarmEvent> mild = Live("low-barometer", 6, With());
        Assert.Empty(Told(mild, "plateauOff"));

        List<AlarmEvent> aged = Live("low-barometer", 6, With(), s => s with { Runs = [.. s.Runs.Select(r => r with { FluidShift = -4 })] });
        AlarmEvent off = Told(aged, "plateauOff").Single();
        Assert.Equal((5, "vapour"), (off.Run ?? 5, off.ChannelId)); // runs 3, 4 and 5 were off
        Assert.InRange(off.Value!.Value, -6, -2);
        Assert.DoesNotContain(aged, a => a.Condition is "sensor" or "tooHot");
    }

    [Fact]
    public void A_radiant_element_over_one_place_is_told_within_three_seconds_and_for_that_place_alone()
    {
        Scenario scenario = ScenarioLibrary.Find("overshoot")!;
        List<AlarmEvent> alarms = Live("overshoot", 1, With());
        AlarmEvent hot = Told(alarms, "tooHot").Single();
        Assert.Equal("tc3", hot.ChannelId);

        var cell = new SimulatedCell(new SimulatorOptions { Seed = 1 }, scenario);
        TimeSpan at = TimeSpan.Zero;
        for (; cell.Truth.ProductCelsius[2] <= hot.Limit; at += SimulatedCell.SamplePeriod)
        {
            cell.AdvanceTo(at);
        }

        // The bead takes half a second, the on-delay a second, and a reading is judged beside its follower.
        Assert.InRange(hot.Time.SecondsSince(SimulatedRuns.Epoch) - at.TotalSeconds, 0, 3);
    }

    [Fact]
    public void What_the_process_did_wrong_is_told_and_what_it_did_not_is_not()
    {
        FaultKind[] ofTheProcess =
        [
            FaultKind.SlowPump, FaultKind.LateEvacuation, FaultKind.LongHold, FaultKind.StuckVent, FaultKind.WeakVapour, FaultKind.ProgrammeStopped, FaultKind.SlowCooling,
            FaultKind.Leak, FaultKind.EarlyFreezing,
        ];
        var options = new FleetOptions { Runs = 220, Seed = 8, FaultShare = 1, ProductionShare = 0 };
        (int broken, int kept) = (0, 0);
        foreach (int number in Enumerable.Range(1, options.Runs))
        {
            FleetMember member = FleetMember.Draw(options, number);
            if (member.Scenario.Runs[0].Faults.Any(f => !ofTheProcess.Contains(f.Kind)))
            {
                continue;
            }

            FleetRun run = FleetRun.Play(member, options.Period);
            TrueFigures truth = TrueFigures.Of(run);
            var engine = new CellEngine(SimulatedRuns.Cell(boards: member.Scenario.Boards));
            var events = new List<EngineEvent>();
            engine.Advance(new SpecInput(SimulatedRuns.Epoch, "A", SimulatedRuns.Spec), events);
            foreach (EngineInput input in SimulatedRuns.Inputs(run, SimulatedRuns.Epoch))
            {
                engine.Advance(input, events);
            }

            HashSet<string> told = [.. events.OfType<AlarmEvent>().Where(a => a.State == AlarmState.Unacknowledged).Select(a => a.Condition)];
            // Sensors err by 1.5 K where curves climb by 1 K/s and less: four seconds around a limit belong to nobody.
            Check(truth.SecondsAboveLiquidus.Take(2 * member.Scenario.Boards).Max() - 90, 4, told.Contains("timeAboveLiquidus"));
            Check((truth.PumpDownSeconds ?? 1000) - 20, 1, told.Contains("slowPumpDown") || told.Contains("basePressure"));

            void Check(double beyond, double unsure, bool said)
            {
                if (Math.Abs(beyond) > unsure)
                {
                    Assert.True(said == beyond > 0, $"run {number} ({string.Join(", ", run.Label.Faults.Select(f => f.Kind))}): {beyond:0.0} beyond its limit, told: {string.Join(", ", told)}");
                    (broken, kept) = beyond > 0 ? (broken + 1, kept) : (broken, kept + 1);
                }
            }
        }

        Assert.True(broken > 15 && kept > 60, $"{broken} broken and {kept} kept limits are too few to tell anything");
    }
}
