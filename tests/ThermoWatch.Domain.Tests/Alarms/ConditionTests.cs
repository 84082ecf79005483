using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>Each condition through the engine: one thing is wrong, and it is told; the same without it, and it is not.</summary>
public class ConditionTests
{
    // The board is liquid (217 °C) from second 272 to 334; the evacuation of a good run begins at 288 and the vent ends at 318.
    private static double Board(double t) => Bench.Board(t);

    private static Func<double, double> Chamber(params (double Seconds, double Value)[] points) => t => Bench.At(t - 60, points);

    private static readonly Func<double, double> s_good = Bench.Chamber;

    private static AlarmEvent[] Told(Line line, Spec? spec, params EngineInput[] between)
    {
        var engine = new CellEngine(line.Cell with { Alarms = new AlarmRules { MotionLimit = 0.5 } });
        List<EngineInput> inputs = [.. spec is null ? [] : new EngineInput[] { new SpecInput(Bench.Epoch, "A", spec) }, .. line.Scans(480), .. between];
        List<EngineEvent> events = Bench.Feed(engine, inputs.OrderBy(i => i.Time));
        AlarmEvent[] told = [.. events.OfType<AlarmEvent>().Where(e => e.State == AlarmState.Unacknowledged)];
        Assert.All(told, alarm => AlarmListing.ReadAloud(alarm, line.Cell));
        return told;
    }

    private static Line With(Func<double, double> chamber) => new Line().Product("tc1", Board).Pressure(chamber);

    private static AlarmEvent Only(string condition, IEnumerable<AlarmEvent> told)
    {
        AlarmEvent found = Assert.Single(told);
        Assert.Equal(condition, found.Condition);
        return found;
    }

    private static Spec Spec(params Limit[] limits) => Bench.Sac305(limits);

    [Fact]
    public void A_good_run_with_every_limit_met_tells_nothing() => Assert.Empty(Told(With(s_good), Spec(
        new Limit { Figure = "moltenAtEvacuation", Lower = 3 }, new Limit { Figure = "pumpDownTime", Upper = 20 }, new Limit { Figure = "steepestEvacuation", Upper = 2 },
        new Limit { Figure = "steepestVent", Upper = 400 }, new Limit { Figure = "soakTime", Lower = 60, Upper = 150 }, new Limit { Figure = "peakTemperature", Upper = 245 })));

    [Fact]
    public void Evacuation_before_the_joint_is_molten_is_cold()
    {
        AlarmEvent cold = Only("coldAtEvacuation", Told(With(t => s_good(t + 25)), Spec()));
        Assert.InRange(cold.Value!.Value, -15, -8);
        Assert.Equal((0.0, "tc1"), (cold.Limit!.Value, cold.ChannelId));
    }

    [Fact]
    public void Evacuation_that_ends_above_its_target_has_missed_the_base_pressure()
    {
        AlarmEvent missed = Only("basePressure", Told(With(Chamber((0, 1013), (228, 1013), (233, 500), (238, 200), (252, 200), (256, 500), (258, 1013))), Spec()));
        Assert.Equal((200.0, 50.0), (missed.Value!.Value, missed.Limit!.Value));
    }

    [Fact]
    public void Pumping_for_longer_than_the_limit_is_slow()
    {
        AlarmEvent slow = Only("slowPumpDown", Told(With(s_good), Spec(new Limit { Figure = "pumpDownTime", Upper = 5 })));
        Assert.True(slow.Value > 5);
        Assert.True(slow.Time < Bench.Epoch.AddSeconds(300), "told while it goes on, not at the run's end");
    }

    [Fact]
    public void Joint_that_falls_below_liquidus_under_vacuum_freezes()
    {
        AlarmEvent frozen = Told(With(Chamber((0, 1013), (228, 1013), (233, 500), (238, 100), (242, 20), (300, 20), (304, 500), (306, 1013))), Spec()).Single(a => a.Condition == "freezeUnderVacuum");
        Assert.True(frozen.Value < 0);
        Assert.InRange(frozen.Time.SecondsSince(Bench.Epoch), 334, 345);
    }

    [Fact]
    public void Pressure_that_creeps_up_in_the_hold_is_lost()
    {
        AlarmEvent lost = Told(
            With(Chamber((0, 1013), (228, 1013), (233, 500), (238, 100), (242, 20), (244, 20), (247, 90), (252, 95), (256, 500), (258, 1013))),
            Spec(new Limit { Figure = "vacuumHold", Lower = 12 })).First(a => a.Condition == "pressureLost");
        Assert.Equal(75, lost.Limit);
        Assert.InRange(lost.Time.SecondsSince(Bench.Epoch), 60 + 248, 60 + 252);
    }

    [Fact]
    public void Steep_evacuation_and_steep_vent_are_told_against_their_limits()
    {
        AlarmEvent evacuation = Only("evacuationRate", Told(With(s_good), Spec(new Limit { Figure = "steepestEvacuation", Upper = 0.2 })));
        Assert.True(evacuation.Value > 0.2);
        AlarmEvent vent = Only("ventRate", Told(With(s_good), Spec(new Limit { Figure = "steepestVent", Upper = 100 })));
        Assert.True(vent.Value > 100);
    }

    [Fact]
    public void Soak_that_is_too_short_is_missed()
    {
        AlarmEvent missed = Only("soakMissed", Told(With(s_good), Spec(new Limit { Figure = "soakTime", Lower = 150 })));
        Assert.InRange(missed.Value!.Value, 110, 130);
        Assert.InRange(missed.Time.SecondsSince(Bench.Epoch), 255, 275); // when the soak is left
    }

    [Fact]
    public void Carrier_that_moves_with_liquid_joints_is_told_and_one_that_moves_cold_is_not()
    {
        Line line = new Line().Product("tc1", Board).Number(ChannelRole.Motion, t => t is >= 300 and < 301 ? -0.8 : t is >= 100 and < 110 ? 2 : 0);
        AlarmEvent moved = Only("movedWhileLiquid", Told(line, Spec() with { Vacuum = null }));
        Assert.Equal((0.8, 0.5), (moved.Value!.Value, moved.Limit!.Value));
        Assert.InRange(moved.Time.SecondsSince(Bench.Epoch), 300, 301);
    }

    [Fact]
    public void Machine_that_runs_another_recipe_than_the_spec_asks_for_is_told_within_ten_seconds()
    {
        Line line = new Line().Product("tc1", Board).Signal(SignalMeaning.Recipe, t => t < 150 ? 12 : 14);
        Spec spec = Spec() with { Vacuum = null, Recipe = 12 };
        AlarmEvent wrong = Only("wrongRecipe", Told(line, spec));
        Assert.Equal((14.0, 12.0), (wrong.Value!.Value, wrong.Limit!.Value));
        Assert.InRange(wrong.Time.SecondsSince(Bench.Epoch), 150, 160);
        Assert.Empty(Told(line, spec with { Recipe = null }));
    }

    [Fact]
    public void Sump_above_what_the_fluid_stands_is_told_and_latches()
    {
        Line line = new Line().Product("tc1", Board).Temperature(ChannelRole.Sump, t => t is > 100 and < 120 ? 295 : 235);
        var engine = new CellEngine(line.Cell);
        List<EngineEvent> events = Bench.Feed(engine, line.Scans(200));
        AlarmEvent[] steps = [.. events.OfType<AlarmEvent>().Where(a => a.Condition == "fluidOverheat")];
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.LatchedUnacknowledged], steps.Select(s => s.State));
        Assert.Equal((295.0, 290.0), (steps[0].Value!.Value, steps[0].Limit!.Value));
    }

    [Fact]
    public void Any_other_broken_limit_is_told_by_its_figure_when_the_run_has_ended()
    {
        AlarmEvent broken = Only("limit", Told(With(s_good), Spec(new Limit { Figure = "coolingRate", Upper = 0.1 })));
        Assert.Equal(("coolingRate", 0.1), (broken.Figure, broken.Limit));
    }

    [Fact]
    public void Reference_junction_that_cannot_be_believed_is_told()
    {
        Line line = new Line().Product("tc1", Board).Temperature(ChannelRole.ColdJunction, t => t > 100 ? 180 : 25);
        AlarmEvent junction = Only("coldJunction", Told(line, null));
        Assert.Equal((180.0, 125.0), (junction.Value!.Value, junction.Limit!.Value));
    }

    [Fact]
    public void Calibration_past_its_day_is_told_for_its_channel_alone()
    {
        var past = new Calibration([new CalibrationPoint(0, 0)]) { Version = 1, ValidFrom = new Timestamp(1), Due = Bench.Epoch.AddSeconds(30) };
        CellDefinition cell = Bench.Cell();
        cell = cell with { Channels = [cell.Channels[0] with { Conversion = cell.Channels[0].Conversion with { Calibrations = new CalibrationHistory([past]) } }, .. cell.Channels.Skip(1)] };
        AlarmEvent due = Only("calibrationDue", Bench.Feed(new CellEngine(cell), Bench.Cycle(length: 50)).OfType<AlarmEvent>().Where(a => a.State == AlarmState.Unacknowledged));
        Assert.Equal("tc1", due.ChannelId);
        Assert.InRange(due.Time.SecondsSince(Bench.Epoch), 30, 32);
    }

    [Theory]
    [InlineData("recording")]
    [InlineData("feed")]
    [InlineData("feedRejected")]
    [InlineData("verificationDue")]
    public void What_only_others_can_know_is_told_when_they_report_it_and_over_when_they_take_it_back(string condition)
    {
        var engine = new CellEngine(Bench.Cell());
        AlarmEvent[] steps =
        [
            .. Bench.Feed(engine,
            [
                .. Bench.Cycle(length: 10), new ReportInput(Bench.Epoch.AddSeconds(11), condition, true, 215, 200), Bench.Scan(12, 25, 25, 1013),
                new ReportInput(Bench.Epoch.AddSeconds(13), condition, false, null, null), Bench.Scan(15, 25, 25, 1013),
            ]).OfType<AlarmEvent>(),
        ];
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged], steps.Select(s => s.State));
        Assert.Equal((condition, 215.0, 200.0), (steps[0].Condition, steps[0].Value!.Value, steps[0].Limit!.Value));
    }

    [Fact]
    public void Stepped_clock_is_told_with_its_step_and_stays_until_seen()
    {
        AlarmEvent[] steps =
        [
            .. Bench.Feed(new CellEngine(Bench.Cell()), [.. Bench.Cycle(length: 10), new ClockStepInput(Bench.Epoch.AddSeconds(11), TimeSpan.FromSeconds(-40)), Bench.Scan(14, 25, 25, 1013)])
                .OfType<AlarmEvent>(),
        ];
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged], steps.Select(s => s.State));
        Assert.Equal(("clock", -40.0), (steps[0].Condition, steps[0].Value!.Value));
    }

    [Fact]
    public void Channel_outside_the_corridor_for_three_seconds_is_told_once_and_one_that_comes_back_at_once_is_not()
    {
        EngineInput Report(double second, double? outside) => new ReportInput(Bench.Epoch.AddSeconds(second), "offReference/tc1", outside is not null, outside, 0);
        Line line = With(s_good);
        Assert.Empty(Told(line, Spec(), Report(150.1, 8), Report(152.1, null)));
        AlarmEvent off = Only("offReference", Told(line, Spec(), Report(150.1, 8), Report(156.1, 11), Report(160.1, null), Report(200.1, 9), Report(210.1, null)));
        Assert.Equal("tc1", off.ChannelId);
        Assert.InRange(off.Time.SecondsSince(Bench.Epoch), 153, 155);
        Assert.Empty(Told(line, Spec(), Report(20.1, 8), Report(30.1, null))); // no run is open then
    }

    [Fact]
    public void Distance_from_the_corridor_survives_a_snapshot()
    {
        CellDefinition cell = Bench.Cell();
        var engine = new CellEngine(cell);
        EngineInput[] inputs = [.. Bench.Cycle()];
        Bench.Feed(engine, [new SpecInput(Bench.Epoch, "A", Spec()), .. inputs.TakeWhile(i => i.Time < Bench.Epoch.AddSeconds(150)), new ReportInput(Bench.Epoch.AddSeconds(150), "offReference/tc1", true, 8, 0)]);
        using var stream = new MemoryStream();
        using (var writer = new BinaryWriter(stream, System.Text.Encoding.UTF8, leaveOpen: true))
        {
            engine.Save(writer);
        }

        stream.Position = 0;
        CellEngine restored = CellEngine.Restore(cell, new BinaryReader(stream));
        List<EngineEvent> events = Bench.Feed(restored, inputs.SkipWhile(i => i.Time <= Bench.Epoch.AddSeconds(150)).TakeWhile(i => i.Time < Bench.Epoch.AddSeconds(160)));
        Assert.Contains(events.OfType<AlarmEvent>(), a => a is { Condition: "offReference", State: AlarmState.Unacknowledged, Value: 8 });
    }
}
