using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>The machine's recipe is held against the product's, once that is known, and for as long as there is something to solder.</summary>
public class RecipeAlarmTests
{
    private const double Cycle = 500; // of each run the board is heated from second 60, liquid from 272 to 334, and cool at 425

    private static readonly Spec s_traction = Bench.Sac305() with { Name = "Traction", Vacuum = null, Recipe = 12 };
    private static readonly Spec s_gate = Bench.Sac305() with { Name = "Gate", Vacuum = null, Recipe = 9 };

    private static SpecInput At(double seconds, Spec spec, SpecTerm term) => new SpecInput(Bench.Epoch.AddSeconds(seconds), "A", spec) { Term = term };

    private static AcknowledgeInput Seen(double seconds) => new AcknowledgeInput(Bench.Epoch.AddSeconds(seconds), "wrongRecipe/A", "Ines", "boards held");

    /// <summary>Runs one after the other with a recipe register; whatever the alarm did, in seconds.</summary>
    private static (double Seconds, AlarmState State, long? Run, double? Value, double? Limit)[] Live(int runs, Func<double, double> recipe, params EngineInput[] between)
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t % Cycle)).Signal(SignalMeaning.Recipe, recipe);
        var engine = new CellEngine(line.Cell);
        List<EngineInput> inputs = [.. between.Concat(line.Scans(runs * Cycle)).OrderBy(i => i.Time)];
        List<EngineEvent> events = [];
        for (int i = 0; i < inputs.Count; i++)
        {
            if (i == inputs.Count / 2)
            {
                engine = Again(engine, line.Cell); // what is known of the product must survive a restart
            }

            engine.Advance(inputs[i], events);
        }

        Assert.Equal(runs, events.OfType<RunEvent>().Count(e => e.State == RunState.Ended));
        return [.. events.OfType<AlarmEvent>().Where(e => e.Condition == "wrongRecipe").Select(e => (e.Time.SecondsSince(Bench.Epoch), e.State, e.Run, e.Value, e.Limit))];
    }

    private static CellEngine Again(CellEngine engine, CellDefinition cell)
    {
        var stream = new MemoryStream();
        engine.Save(new BinaryWriter(stream));
        stream.Position = 0;
        return CellEngine.Restore(cell, new BinaryReader(stream));
    }

    [Fact]
    public void Recipe_read_before_the_product_is_known_is_told_within_ten_seconds_of_knowing_and_not_before()
    {
        var alarm = Assert.Single(Live(1, _ => 9, At(0, s_traction, SpecTerm.UntilTold), At(200, s_traction, SpecTerm.OneRun)));
        Assert.InRange(alarm.Seconds, 200, 210);
        Assert.Equal((AlarmState.Unacknowledged, 1L, 9.0, 12.0), (alarm.State, alarm.Run, alarm.Value, alarm.Limit));
    }

    [Fact]
    public void Recipe_is_held_against_nothing_while_nobody_tells_the_product() =>
        Assert.Empty(Live(2, _ => 9, At(0, s_traction, SpecTerm.UntilTold)));

    [Fact]
    public void Product_that_changes_between_runs_raises_nothing_however_late_it_is_told() => Assert.Empty(Live(
        3, t => t < Cycle ? 12 : t < 2 * Cycle ? 9 : 12,
        At(0, s_traction, SpecTerm.UntilTold), At(80, s_traction, SpecTerm.OneRun), At(Cycle + 240, s_gate, SpecTerm.OneRun), At((2 * Cycle) + 80, s_traction, SpecTerm.OneRun)));

    [Fact]
    public void Product_told_before_its_run_counts_for_that_run_and_for_none_after_it()
    {
        var alarms = Live(2, _ => 9, At(10, s_traction, SpecTerm.OneRun), Seen(200));
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.Acknowledged, AlarmState.Normal], alarms.Select(a => a.State));
        Assert.All(alarms, a => Assert.Equal(1, a.Run));
        Assert.InRange(alarms[0].Seconds, 60, 90); // found once the board is being heated, and the delay
    }

    [Fact]
    public void Spec_of_the_only_product_stands_for_every_run()
    {
        var alarms = Live(2, _ => 9, At(0, s_traction, SpecTerm.Standing));
        Assert.Equal([1L, 1L, 2L], alarms.Select(a => a.Run!.Value));
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged, AlarmState.Unacknowledged], alarms.Select(a => a.State));
    }

    [Fact]
    public void Wrong_recipe_during_the_run_is_told_and_is_over_when_the_next_run_has_the_right_one()
    {
        // Nobody looks: it stays on the list as returned when the next run begins, and goes with a look.
        var alarms = Live(2, t => t is >= 150 and < 420 ? 9 : 12, At(0, s_traction, SpecTerm.Standing), Seen(900));
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged, AlarmState.Normal], alarms.Select(a => a.State));
        Assert.InRange(alarms[0].Seconds, 150, 160);
        Assert.InRange(alarms[1].Seconds, Cycle + 60, Cycle + 90);
        Assert.All(alarms, a => Assert.Equal(1, a.Run));
    }

    [Fact]
    public void Wrong_recipe_that_was_seen_is_over_with_its_run()
    {
        var alarms = Live(1, t => t >= 150 ? 9 : 12, At(0, s_traction, SpecTerm.Standing), Seen(200));
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.Acknowledged, AlarmState.Normal], alarms.Select(a => a.State));
        Assert.InRange(alarms[2].Seconds, 415, 435);
    }

    [Fact]
    public void Next_recipe_that_is_set_while_the_boards_only_cool_is_not_this_runs()
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t)).Signal(SignalMeaning.Recipe, t => t < 350 ? 12 : 9);
        (CellEngine engine, List<EngineEvent> events) = line.Live(480, At(0, s_traction, SpecTerm.Standing));
        Assert.Empty(events.OfType<AlarmEvent>());
        RunPicture run = engine.LastRun("A")!;
        Assert.Equal(12, run.Recipe);
        Assert.DoesNotContain("recipeChanged", run.Notes);
    }

    [Fact]
    public void Register_that_follows_its_run_within_seconds_raises_nothing() =>
        Assert.Empty(Live(1, t => t < 69 ? 9 : 12, At(0, s_traction, SpecTerm.Standing))); // the run is found at second 66
}
