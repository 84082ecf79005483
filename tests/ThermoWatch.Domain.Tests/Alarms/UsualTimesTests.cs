using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>A programme that stops with molten joints is known by what is usual for its product, whatever was soldered in between.</summary>
public class UsualTimesTests
{
    private const double Cycle = 500; // liquid from 272 to 334 s of each run
    private const double Stall = 60;
    private const double StallAt = 310;

    private static Spec Named(string name) => Bench.Sac305() with { Name = name, Vacuum = null };

    /// <summary>Runs one after the other, the programme of the last standing still for a minute while its joints are liquid.</summary>
    /// <param name="runs">How many.</param>
    /// <param name="recipe">Recipe of a run, by its number from 0; each recipe has a spec.</param>
    /// <param name="restartAt">Input before which the engine is saved and read back; null: never.</param>
    private static AlarmEvent[] Stopped(int runs, Func<int, int> recipe, int? restartAt = null)
    {
        double last = (runs - 1) * Cycle;
        double Board(double t) => t < last ? Bench.Board(t % Cycle)
            : t - last < StallAt ? Bench.Board(t - last) : Bench.Board(Math.Max(StallAt, t - last - Stall));
        Line line = new Line { PeriodSeconds = 1 }.Product("tc1", Board)
            .Signal(SignalMeaning.Recipe, t => recipe((int)Math.Min(runs - 1, t / Cycle)));
        IEnumerable<EngineInput> specs = Enumerable.Range(0, runs).Select(run => new SpecInput(Bench.Epoch.AddSeconds(run * Cycle), "A", Named($"Recipe {recipe(run)}")));
        List<EngineInput> inputs = [.. specs.Concat(line.Scans(last + Cycle + Stall)).OrderBy(i => i.Time)];
        var engine = new CellEngine(line.Cell);
        List<EngineEvent> events = [];
        for (int i = 0; i < inputs.Count; i++)
        {
            if (i == restartAt)
            {
                var stream = new MemoryStream();
                engine.Save(new BinaryWriter(stream));
                stream.Position = 0;
                engine = CellEngine.Restore(line.Cell, new BinaryReader(stream));
            }

            engine.Advance(inputs[i], events);
        }

        Assert.Equal(runs, events.OfType<RunEvent>().Count(e => e.State == RunState.Ended));
        return [.. events.OfType<AlarmEvent>().Where(e => e is { Condition: "cycleStopped", Signal: AlarmSignal.ConditionActive })];
    }

    [Theory]
    [InlineData(null)]
    [InlineData(17 * 500)]
    public void What_is_usual_is_remembered_while_another_product_is_soldered(int? restartAt)
    {
        AlarmEvent stopped = Assert.Single(Stopped(17, run => run % 2 == 0 ? 12 : 9, restartAt is { } at ? at - 400 : null));
        Assert.Equal(17, stopped.Run);
        // From 272.1 s, where the joint passes 217 degC, to 334.4: about 62 s; it is told 5 s after that.
        Assert.InRange(stopped.Limit!.Value, 50, 65);
        Assert.InRange(stopped.Value!.Value, stopped.Limit.Value + 5, stopped.Limit.Value + 7.5);
    }

    [Fact]
    public void Seven_runs_of_a_product_are_too_few_whatever_else_was_soldered() => Assert.Empty(Stopped(15, run => run % 2 == 0 ? 12 : 9));

    [Fact]
    public void Runs_of_another_recipe_say_nothing() => Assert.Empty(Stopped(12, run => run == 11 ? 9 : 12));

    [Fact]
    public void As_many_products_as_a_small_factory_has_are_remembered_and_no_more()
    {
        // Ten runs of recipe 1, then one each of many others: with 23 it is still known, with 24 it is the least recently soldered and gone.
        Assert.Single(Stopped(10 + 23 + 1, run => run is < 10 or 33 ? 1 : run));
        Assert.Empty(Stopped(10 + 24 + 1, run => run is < 10 or 34 ? 1 : run));
    }
}
