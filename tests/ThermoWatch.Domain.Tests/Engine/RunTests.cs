using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Engine;

public class RunTests
{
    [Fact]
    public void Heated_boards_begin_a_run_where_they_began_to_rise()
    {
        var engine = new CellEngine(Bench.Cell());
        List<EngineEvent> events = Bench.Feed(engine, Bench.Cycle(length: 120));

        RunEvent started = Assert.Single(events.OfType<RunEvent>());
        Assert.Equal((1L, RunState.Started, "slope"), (started.Run, started.State, started.Reason));
        // The board stands at 25 until second 60 and rises by 1.75 K/s: it was last within 1 K at 60.57 s.
        Assert.Equal(60.5, started.Start.SecondsSince(Bench.Epoch), tolerance: 0.01);
        Assert.True(engine.AnyRunOpen);
        Assert.Equal(2, engine.NextRunNumber);
    }

    [Fact]
    public void Cooled_boards_end_the_run()
    {
        var engine = new CellEngine(Bench.Cell());
        List<EngineEvent> events = Bench.Feed(engine, Bench.Cycle());

        RunEvent ended = events.OfType<RunEvent>().Last();
        Assert.Equal((RunState.Ended, "cooled"), (ended.State, ended.Reason));
        // From 85 at 390 s to 30 at 460 s; the second sensor is 2 K lower and 2 s later: the first reading below 60 of
        // both is the first sensor's at 422.0 s.
        Assert.Equal(422, ended.End!.Value.SecondsSince(Bench.Epoch), tolerance: 0.51);
        Assert.False(engine.AnyRunOpen);
    }

    [Fact]
    public void Phases_follow_one_another_and_the_vacuum_lies_beside_them()
    {
        var engine = new CellEngine(Bench.Cell());
        List<EngineEvent> events =
            Bench.Feed(engine, new EngineInput[] { new SpecInput(Bench.Epoch, "A", Bench.Sac305()) }.Concat(Bench.Cycle()));

        Assert.Equal(
            ["load", "preheat", "soak", "ramp", "evacuate", "reflow", "hold", "vent", "cool"],
            events.OfType<PhaseEvent>().Select(e => e.Phase.Name).Order(Comparer<string>.Create((a, b) => Array.IndexOf(s_order, a) - Array.IndexOf(s_order, b))));
        RunPicture run = Assert.Single(engine.Picture().Runs);
        Assert.Equal(["load", "preheat", "soak", "ramp", "reflow", "cool"], run.Phases.Where(p => p.Track == PhaseTrack.Thermal).Select(p => p.Name));
        Assert.Equal(["evacuate", "hold", "vent"], run.Phases.Where(p => p.Track == PhaseTrack.Vacuum).Select(p => p.Name));
        for (int i = 1; i < 6; i++)
        {
            Assert.Equal(run.Phases[i - 1].End, run.Phases[i].Start);
        }
    }

    [Fact]
    public void Each_evacuation_has_the_phases_of_its_own_target()
    {
        Spec spec = Bench.Sac305() with { Vacuum = new VacuumSpec(50, [new VacuumStepSpec("preheat", 600), new VacuumStepSpec("void", 50)]) };
        var engine = new CellEngine(Bench.Cell());
        List<EngineEvent> events = [];
        engine.Advance(new SpecInput(Bench.Epoch, "A", spec), events);
        for (double t = 0; t <= 480; t += 0.5)
        {
            double chamber = t < 200 ? Bench.At(t, (150, 1013), (155, 400), (165, 400), (170, 1013)) : Bench.Chamber(t);
            engine.Advance(Bench.Scan(t, Bench.Board(t), Bench.Board(t, 2) - 2, chamber), events);
        }

        PhaseSpan[] vacuum = [.. Assert.Single(engine.Picture().Runs).Phases.Where(p => p.Track == PhaseTrack.Vacuum)];
        Assert.Equal(["evacuate", "hold", "vent", "evacuate", "hold", "vent"], vacuum.Select(p => p.Name));
        double reached = 150 + (5 * (1013 - 600) / (1013.0 - 400)); // on the straight lines of the chamber
        double left = 165 + (5 * (600 - 400) / (1013.0 - 400));
        Assert.Equal(reached, vacuum[1].Start.SecondsSince(Bench.Epoch), tolerance: 1e-6);
        Assert.Equal(left, vacuum[1].End!.Value.SecondsSince(Bench.Epoch), tolerance: 1e-6);
        Assert.Equal(60 + 240.5, vacuum[4].Start.SecondsSince(Bench.Epoch), tolerance: 1e-6); // 50 mbar on the way from 100 at 238 s to 20 at 242 s
        PhaseEvent told = events.OfType<PhaseEvent>().First(e => e.Phase.Name == "hold");
        Assert.InRange(told.Time.SecondsSince(Bench.Epoch), reached, 154.51); // as soon as it is one: below half of the rest pressure
        Assert.Equal(50, spec.Vacuum.VoidTargetMillibar);
    }

    private static readonly string[] s_order = ["load", "preheat", "soak", "ramp", "evacuate", "reflow", "hold", "vent", "cool"];

    [Fact]
    public void Second_board_before_the_first_has_cooled_ends_the_run_at_its_least()
    {
        var engine = new CellEngine(Bench.Cell(products: 1, pressure: false));
        var inputs = Enumerable.Range(0, 1400).Select(i => Bench.Scan(i * 0.5, Bench.At(
            i * 0.5, (60, 25), (180, 240), (260, 80), (380, 240), (480, 30)))).Prepend<EngineInput>(new SpecInput(Bench.Epoch, "A", Bench.Sac305()));
        List<RunEvent> runs = [.. Bench.Feed(engine, inputs).OfType<RunEvent>()];

        Assert.Equal([RunState.Started, RunState.Ended, RunState.Started, RunState.Ended], runs.Select(r => r.State));
        Assert.Equal("newRise", runs[1].Reason);
        Assert.Equal(260, runs[1].End!.Value.SecondsSince(Bench.Epoch), tolerance: 0.01);
        Assert.Equal(260, runs[2].Start.SecondsSince(Bench.Epoch), tolerance: 1.01);
        Assert.True(runs[2].Start >= runs[1].End);
    }

    [Fact]
    public void Unplugged_sensors_end_the_run_and_a_warm_carrier_begins_the_next()
    {
        var engine = new CellEngine(Bench.Cell(products: 1, pressure: false));
        var inputs = Enumerable.Range(0, 900).Select(i =>
        {
            double t = i * 0.5;
            double value = Bench.At(t, (60, 25), (180, 240), (240, 120));
            return Bench.Scan(t, t is > 240 and < 260 ? double.NaN : t < 260 ? value : Bench.At(t, (290, 57), (400, 240)));
        }).Prepend<EngineInput>(new SpecInput(Bench.Epoch, "A", Bench.Sac305()));
        List<EngineEvent> events = Bench.Feed(engine, inputs);

        List<RunEvent> runs = [.. events.OfType<RunEvent>()];
        Assert.Equal(("unplugged", 240.0), (runs[1].Reason, runs[1].End!.Value.SecondsSince(Bench.Epoch)));
        // Situation: a carrier loaded warm must be found within 5 s of truth (290 s) and say so.
        Assert.Equal(290, runs[2].Start.SecondsSince(Bench.Epoch), tolerance: 5);
        Assert.Contains("warmStart", engine.Picture().Runs[0].Notes);
    }

    [Fact]
    public void Board_that_stays_hot_and_flat_is_left_in_the_machine()
    {
        var engine = new CellEngine(Bench.Cell(products: 1, pressure: false));
        var inputs = Enumerable.Range(0, 1200).Select(i => Bench.Scan(i * 0.5, Bench.At(i * 0.5, (60, 25), (180, 240), (260, 90))))
            .Prepend<EngineInput>(new SpecInput(Bench.Epoch, "A", Bench.Sac305()));
        RunEvent ended = Bench.Feed(engine, inputs).OfType<RunEvent>().Last();

        Assert.Equal((RunState.Ended, "leftInMachine"), (ended.State, ended.Reason));
        // Flat from second 260 on; a minute's slope is below 0.02 K/s while its first 3 s still fall.
        Assert.InRange(ended.End!.Value.SecondsSince(Bench.Epoch), 260 + 116, 260 + 121);
    }

    [Fact]
    public void Run_that_never_ends_is_abandoned()
    {
        var engine = new CellEngine(Bench.Cell(products: 1, pressure: false, periodSeconds: 1));
        var inputs = Enumerable.Range(0, 2000).Select(i => Bench.Scan(i, Bench.At(i, (60, 25), (180, 240)) + (i % 2)));
        RunEvent ended = Bench.Feed(engine, inputs).OfType<RunEvent>().Last();

        Assert.Equal(RunState.Abandoned, ended.State);
        Assert.Equal(1800, (ended.End!.Value - ended.Start).TotalSeconds, tolerance: 1.01);
    }

    [Fact]
    public void Two_carriers_have_overlapping_runs_of_their_own()
    {
        var engine = new CellEngine(Bench.Cell(products: 1, carriers: ["A", "B"]));
        var inputs = Enumerable.Range(0, 1400).Select(i => Bench.Scan(i * 0.5, Bench.Board(i * 0.5), Bench.Board(i * 0.5, 200), Bench.Chamber(i * 0.5)));
        List<EngineEvent> events = Bench.Feed(engine, inputs.Prepend<EngineInput>(new SpecInput(Bench.Epoch, "A", Bench.Sac305())));

        List<RunEvent> runs = [.. events.OfType<RunEvent>()];
        Assert.Equal(["A", "B", "A", "B"], runs.Select(r => r.Carrier));
        // The evacuation came while A was hot: it is A's alone.
        Assert.All(events.OfType<PhaseEvent>().Where(e => e.Phase.Track == PhaseTrack.Vacuum), e => Assert.Equal(1, e.Run));
        Assert.Empty(engine.Picture().Runs[1].Phases.Where(p => p.Track == PhaseTrack.Vacuum));
    }

    [Fact]
    public void Room_that_warms_slowly_begins_no_run()
    {
        var engine = new CellEngine(Bench.Cell(products: 1, pressure: false, periodSeconds: 1));
        List<EngineEvent> events = Bench.Feed(engine, Enumerable.Range(0, 1000).Select(i => Bench.Scan(i, 20 + (0.12 * i))));

        Assert.Empty(events.OfType<RunEvent>());
    }
}
