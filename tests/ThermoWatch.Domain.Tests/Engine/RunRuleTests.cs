using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>Rules for runs that product sensors do not show: each by its name.</summary>
public class RunRuleTests
{
    private static readonly SpecInput s_spec = new(Bench.Epoch, "A", Bench.Sac305(new Limit { Figure = "peakTemperature", Upper = 245 }, new Limit { Figure = "pumpDownTime", Upper = 15 }));

    private static double Open(double _) => double.NaN;

    /// <summary>Vapour at 240 that a cold load at 100 s takes to 228, and that is back at 130 s; in the vacuum it cools too.</summary>
    private static double Vapour(double t) => Bench.At(t, (100, 240), (110, 228), (130, 240), (288, 240), (302, 200), (320, 240));

    private static (double Start, double? End, string Reason, RunKind Kind)[] Runs(IEnumerable<EngineEvent> events) =>
    [
        .. events.OfType<RunEvent>().Select(e => (e.Start.SecondsSince(Bench.Epoch), e.End?.SecondsSince(Bench.Epoch), e.Reason, e.Kind)),
    ];

    [Fact]
    public void Machine_signals_begin_and_end_a_run_that_no_sensor_shows()
    {
        Line line = new Line().Product("tc1", Open).Pressure(Bench.Chamber)
            .Signal(SignalMeaning.Start, Line.On((80, 81))).Signal(SignalMeaning.Unload, Line.On((430, 431))).Signal(SignalMeaning.Recipe, _ => 14).Signal(SignalMeaning.Load, _ => 4);
        (CellEngine engine, List<EngineEvent> events) = line.Live(480, s_spec);

        Assert.Equal([(80, null, "signal", RunKind.Production), (80, 430, "signal", RunKind.Production)], Runs(events));
        Assert.Equal([14, 14], events.OfType<RunEvent>().Select(e => e.Recipe));
        RunPicture run = Assert.Single(engine.Picture().Runs);
        Assert.Equal((RunKind.Production, 14, 4, "signal"), (run.Kind, run.Recipe, run.Load, run.StartReason));
        Assert.Equal(350, run.Figures.Single(f => f.Figure == "cycleTime").Value);
        Assert.Equal(1, run.Figures.Single(f => f.Figure == "evacuations").Value);
    }

    [Fact]
    public void Run_without_product_sensors_is_never_judged_by_them()
    {
        Line line = new Line().Product("tc1", Open).Pressure(Bench.Chamber).Signal(SignalMeaning.Running, Line.On((80, 430)));
        (CellEngine engine, _) = line.Live(480, s_spec);
        RunPicture run = Assert.Single(engine.Picture().Runs);

        Assert.Null(run.Verdict);
        Assert.Empty(run.Reasons);
        Assert.All(run.Figures, f => Assert.Null(f.Verdict));
        Assert.DoesNotContain(run.Figures, f => f.ChannelId is not null || f.Reason == FigureReasons.NoChannel);
        string json = JsonSerializer.Serialize(run);
        Assert.DoesNotContain("\"Pass\"", json, StringComparison.Ordinal);
    }

    [Fact]
    public void Signal_that_stands_at_first_sight_begins_nothing_but_a_level_does_and_says_so()
    {
        Line pulse = new Line().Pressure(_ => 1013).Signal(SignalMeaning.Start, _ => 1);
        Assert.Empty(pulse.Live(60).Events.OfType<RunEvent>());

        Line level = new Line().Pressure(_ => 1013).Signal(SignalMeaning.Running, Line.On((0, 40)));
        (CellEngine engine, List<EngineEvent> events) = level.Live(60);
        Assert.Equal([(0, null, "signal", RunKind.Production), (0, 40, "signal", RunKind.Production)], Runs(events));
        RunPicture run = engine.Picture().Runs[0];
        Assert.Equal(["startNotSeen"], run.Notes);
        Assert.Equal(FigureReasons.Truncated, run.Figures.Single(f => f.Figure == "cycleTime").Reason);
    }

    [Fact]
    public void Start_signal_ends_the_run_before_it()
    {
        Line line = new Line().Pressure(_ => 1013).Signal(SignalMeaning.Start, Line.On((50, 51), (400, 401)));
        Assert.Equal(
            [(50, null, "signal"), (50, 400, "nextStart"), (400, null, "signal")],
            Runs(line.Live(450).Events).Select(r => (r.Start, r.End, r.Reason)));
    }

    [Fact]
    public void Signal_comes_before_the_slope_and_the_sensors_make_it_a_profile()
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t)).Signal(SignalMeaning.Start, Line.On((58, 59)));
        (_, List<EngineEvent> events) = line.Live(480, s_spec);

        Assert.Equal((58, null, "signal", RunKind.Profile), Runs(events)[0]);
        Assert.Equal((58, "cooled", RunKind.Profile), (Runs(events)[1].Start, Runs(events)[1].Reason, Runs(events)[1].Kind));
        Assert.Equal(2, Runs(events).Length);
    }

    [Fact]
    public void Sensors_that_come_late_make_the_run_a_profile_unless_somebody_said_otherwise()
    {
        Line line = new Line().Product("tc1", t => t < 100 ? double.NaN : 80).Signal(SignalMeaning.Running, Line.On((50, 200)));
        Assert.Equal([RunKind.Production, RunKind.Profile], Runs(line.Live(210).Events).Select(r => r.Kind));

        var said = new RunKindInput(Bench.Epoch.AddSeconds(60), "A", RunKind.Verification, "Kim");
        var engine = new CellEngine(line.Cell);
        List<EngineEvent> events = Bench.Feed(engine, line.Scans(60).Append(said).Concat(line.Scans(210, 60.5)));
        Assert.Equal([RunKind.Production, RunKind.Verification], Runs(events).Select(r => r.Kind));
    }

    [Theory]
    [InlineData(SignalMeaning.Running, 400, "signal")]
    [InlineData(SignalMeaning.Start, 317.8, "vented")]
    public void Dip_of_the_load_whose_start_the_machine_has_signalled_begins_no_second_run(SignalMeaning meaning, double end, string reason)
    {
        Line line = new Line().Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber).Signal(meaning, Line.On((60, 400)));
        (double Start, double? End, string Reason, RunKind Kind)[] runs = Runs(line.Live(480, s_spec).Events);
        Assert.Equal([(60, "signal"), (60, reason)], runs.Select(r => (r.Start, r.Reason)));
        Assert.Equal(end, runs[1].End!.Value, 0.1);
    }

    [Fact]
    public void Load_that_the_machine_has_signalled_for_one_carrier_begins_no_run_on_the_other()
    {
        Line line = new Line { Carriers = ["A", "B"] }.Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber).Signal(SignalMeaning.Running, Line.On((60, 400)), "A");
        Assert.Equal([("A", "signal"), ("A", "signal")], line.Live(480, s_spec).Events.OfType<RunEvent>().Select(r => (r.Carrier, r.Reason)));
    }

    [Fact]
    public void Machine_that_says_it_is_not_running_has_no_run_by_dip_or_vacuum()
    {
        Line line = new Line().Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber).Signal(SignalMeaning.Running, _ => 0);
        Assert.Empty(line.Live(480, s_spec).Events.OfType<RunEvent>());

        Line silent = new Line().Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber).Signal(SignalMeaning.Running, t => t < 50 ? 0 : double.NaN);
        Assert.Equal("vapourDip", silent.Live(480, s_spec).Events.OfType<RunEvent>().First().Reason);
    }

    [Fact]
    public void Start_signal_soon_after_the_carrier_came_is_of_the_same_run_and_the_one_after_its_evacuation_of_the_next()
    {
        Line line = new Line().Pressure(Bench.Chamber).Number(ChannelRole.Position, t => t >= 50 ? 1 : 0, "A").Signal(SignalMeaning.Start, Line.On((60, 61), (430, 431), (440, 441)));
        (CellEngine engine, List<EngineEvent> events) = line.Live(480, s_spec);
        Assert.Equal(
            [(50, null, "position"), (50, 430, "nextStart"), (430, null, "signal"), (430, 440, "nextStart"), (440, null, "signal")],
            Runs(events).Select(r => (r.Start, r.End, r.Reason)));
        Assert.Equal("signal", engine.LastRun("A")!.StartReason);
    }

    [Fact]
    public void Operator_begins_and_ends_a_run_and_says_what_it_is_for()
    {
        Line line = new Line { Rules = new CellRules { DetectRuns = false } }.Pressure(_ => 1013);
        var engine = new CellEngine(line.Cell);
        List<EngineEvent> events = Bench.Feed(engine, line.Scans(10)
            .Append(new StartRunInput(Bench.Epoch.AddSeconds(10), "A", "Kim", RunKind.Maintenance, 99)).Concat(line.Scans(60, 10.5))
            .Append(new EndRunInput(Bench.Epoch.AddSeconds(60), "A", "Kim")));
        Assert.Equal([(10, null, "command", RunKind.Maintenance), (10, 60, "command", RunKind.Maintenance)], Runs(events));
        Assert.Equal(99, engine.Picture().Runs[0].Recipe);
    }

    [Fact]
    public void Vapour_dip_begins_a_run_where_the_vapour_left_its_level_and_the_vent_ends_it()
    {
        Line line = new Line().Product("tc1", Open).Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber);
        (CellEngine engine, List<EngineEvent> events) = line.Live(480, s_spec);

        (double start, double? end, string reason, RunKind kind)[] runs = Runs(events);
        // 1.2 K/s down from 100 s on: within 1 K of the level until 100.83 s.
        Assert.Equal((100.5, null, "vapourDip", RunKind.Production), runs[0]);
        // The chamber is back at 0.95 × 1013 mbar at 317.8 s; 30 s later nothing else has come.
        Assert.Equal("vented", runs[1].reason);
        Assert.Equal(317.8, runs[1].end!.Value, 0.1);
        Assert.Equal(317.8 + 30, events.OfType<RunEvent>().Last().Time.SecondsSince(Bench.Epoch), 1.1);
        Assert.Equal(2, runs.Length);
        Assert.Empty(engine.Picture().Runs[0].Notes);
    }

    [Fact]
    public void Vapour_figures_of_a_run_without_product_sensors_agree_with_the_drawn_curve()
    {
        Line line = new Line().Product("tc1", Open).Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber)
            .Temperature(ChannelRole.Transport, t => Bench.At(t, (100, 25), (150, 160), (190, 161), (230, 235), (320, 235), (460, 70)));
        var spec = s_spec with { Spec = s_spec.Spec! with { Fluid = new Fluid("240", 240, 1013) } };
        (CellEngine engine, List<EngineEvent> events) = line.Live(480, spec);
        RunPicture run = engine.Picture().Runs[0];
        double Value(string figure) => run.Figures.Single(f => f.Figure == figure).Value!.Value;

        Assert.Equal(240, Value("vapourPlateau"), 1e-9);
        Assert.Equal(0, Value("vapourResidual"), 1e-9);
        Assert.Equal(12, Value("vapourDip"), 1e-9);
        // Down through 239 at 100.833 s, from 228 up at 0.6 K/s through 239 at 128.333 s.
        Assert.Equal(128.3333 - 100.8333, Value("vapourRecovery"), 1e-3);
        // The edge of 0.95 × 1013 mbar is passed at 288.494 s.
        Assert.Equal(288.494 - 128.3333, Value("timeInVapour"), 1e-2);
        // 160 to 161 degC in 40 s is flatter than 0.05 K/s; a window that holds some of the bend before or after it need not be.
        Assert.Equal(160.5, Value("transportSoak"), 0.2);
        Assert.InRange(Value("transportSoakTime"), 38, 42);
        PhaseSpan phase = Assert.Single(run.Phases, p => p.Track == PhaseTrack.Thermal);
        Assert.Equal(("vapour", 128.333), (phase.Name, Math.Round(phase.Start.SecondsSince(Bench.Epoch), 3)));
        PhaseEvent told = events.OfType<PhaseEvent>().First(e => e.Phase.Name == "vapour");
        // Once it has rested for 20 s: before, nobody knows that this is where it stays.
        Assert.InRange(told.Time.SecondsSince(Bench.Epoch), 148, 152);
    }

    [Fact]
    public void Soak_plateau_that_drifts_at_the_edge_of_flat_is_one_plateau()
    {
        // 0.03 K/s on the whole, with a wave that makes windows of ten seconds steeper than 0.05 K/s, for eight seconds of every 25.
        static double Wave(double t) => t is > 150 and < 250 ? 0.17 * Math.Sin((t - 150) * 2 * Math.PI / 25) : 0;
        Line line = new Line().Pressure(Bench.Chamber)
            .Temperature(ChannelRole.Transport, t => Bench.At(t, (100, 25), (150, 163.5), (250, 160.5), (280, 235), (320, 235), (460, 70)) + Wave(t))
            .Signal(SignalMeaning.Running, Line.On((60, 470)));
        RunPicture run = line.Live(480, s_spec).Engine.Picture().Runs[0];
        Assert.Equal("signal", run.EndReason);
        Assert.InRange(run.Figures.Single(f => f.Figure == "transportSoakTime").Value!.Value, 97, 103);
    }

    [Fact]
    public void Two_plateaus_with_a_step_between_them_are_two()
    {
        Line line = new Line().Pressure(Bench.Chamber)
            .Temperature(ChannelRole.Transport, t => Bench.At(t, (100, 25), (150, 120), (180, 120), (181, 160), (221, 160), (260, 235), (320, 235), (460, 70)))
            .Signal(SignalMeaning.Running, Line.On((60, 470)));
        RunPicture run = line.Live(480, s_spec).Engine.Picture().Runs[0];
        Assert.Equal(160, run.Figures.Single(f => f.Figure == "transportSoak").Value!.Value, 0.5);
        Assert.InRange(run.Figures.Single(f => f.Figure == "transportSoakTime").Value!.Value, 38, 41);
    }

    [Fact]
    public void Numbers_that_the_machine_shows_as_a_run_ends_are_the_next_runs()
    {
        // Register and contact come in one scan: two boards and recipe 14 wait while the four of recipe 12 are done.
        Line line = new Line().Signal(SignalMeaning.Running, Line.On((50, 200), (230, 300)))
            .Signal(SignalMeaning.Recipe, t => t < 200 ? 12 : 14).Signal(SignalMeaning.Load, t => t < 200 ? 4 : 2);
        CellEngine engine = line.Live(220).Engine;
        RunPicture run = engine.Picture().Runs[0];
        Assert.Equal((12, 4), (run.Recipe, run.Load));
        Assert.Empty(run.Notes);
        run = line.Live(310).Engine.Picture().Runs[0];
        Assert.Equal((14, 2), (run.Recipe, run.Load));
    }

    [Fact]
    public void Load_that_is_counted_anew_while_the_boards_cool_is_the_next_runs()
    {
        Line line = new Line().Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber)
            .Signal(SignalMeaning.Running, Line.On((60, 450))).Signal(SignalMeaning.Load, t => t < 400 ? 4 : 2);
        Assert.Equal(4, line.Live(480, s_spec).Engine.Picture().Runs[0].Load);
    }

    [Fact]
    public void Vapour_that_never_dips_has_no_dip_and_no_time_in_it()
    {
        Line line = new Line().Temperature(ChannelRole.Vapour, t => 240 + (t % 1)).Signal(SignalMeaning.Running, Line.On((60, 200)));
        RunPicture run = line.Live(210).Engine.Picture().Runs[0];
        Assert.Equal(FigureReasons.NeverReached, run.Figures.Single(f => f.Figure == "vapourDip").Reason);
        Assert.Equal(FigureReasons.NeverReached, run.Figures.Single(f => f.Figure == "timeInVapour").Reason);
        Assert.Equal(FigureReasons.NotDefined, run.Figures.Single(f => f.Figure == "vapourResidual").Reason);
    }

    [Fact]
    public void Vapour_that_cools_in_a_vacuum_is_no_new_load()
    {
        Line line = new Line { Rules = new CellRules { EndAfterVent = TimeSpan.FromSeconds(1) } }
            .Temperature(ChannelRole.Vapour, t => t < 200 ? 240 : Vapour(t)).Pressure(Bench.Chamber);
        Assert.Equal(["vacuum", "vented"], Runs(line.Live(480).Events).Select(r => r.Reason));
    }

    [Fact]
    public void Evacuation_without_anything_else_begins_a_run_whose_start_was_not_seen()
    {
        Line line = new Line().Pressure(Bench.Chamber);
        (CellEngine engine, List<EngineEvent> events) = line.Live(480);

        Assert.Equal((288.49, "vacuum"), (Math.Round(Runs(events)[0].Start, 2), Runs(events)[0].Reason));
        RunPicture run = engine.Picture().Runs[0];
        Assert.Equal(["startNotSeen"], run.Notes);
        Assert.Null(run.Figures.Single(f => f.Figure == "cycleTime").Value);
        Assert.Equal(20, run.Figures.Single(f => f.Figure == "lowestPressure").Value);
    }

    [Fact]
    public void Dip_while_sensors_show_a_board_being_heated_begins_no_other_run()
    {
        Line line = new Line { Carriers = ["A", "B"] }.Product("a1", t => Bench.Board(t, 38), "A").Product("b1", Open, "B")
            .Temperature(ChannelRole.Vapour, Vapour).Pressure(_ => 1013);
        Assert.All(line.Live(300, s_spec).Events.OfType<RunEvent>(), e => Assert.Equal("A", e.Carrier));
    }

    [Fact]
    public void Next_load_ends_a_run_that_nothing_else_ends()
    {
        Line line = new Line().Temperature(ChannelRole.Vapour, t => Vapour(Math.Min(t % 300, 280)));
        (double Start, double? End, string Reason)[] runs = [.. Runs(line.Live(700).Events).Select(r => (r.Start, r.End, r.Reason))];
        Assert.Equal([(100.5, null, "vapourDip"), (100.5, 400.5, "nextStart"), (400.5, null, "vapourDip")], runs);
    }

    [Fact]
    public void Carrier_position_begins_and_ends_its_run()
    {
        Line line = new Line { Carriers = ["A", "B"] }.Pressure(_ => 1013)
            .Number(ChannelRole.Position, t => t is >= 50 and < 200 ? 3 : 0, "A").Number(ChannelRole.Position, t => t is >= 120 and < 320 ? 2 : 0, "B");
        Assert.Equal(
            [("A", 50, null, "position"), ("B", 120, null, "position"), ("A", 50, 200, "position"), ("B", 120, 320, "position")],
            line.Live(400).Events.OfType<RunEvent>().Select(e => (e.Carrier, e.Start.SecondsSince(Bench.Epoch), e.End?.SecondsSince(Bench.Epoch), e.Reason)));
    }

    [Fact]
    public void Carrier_that_moves_begins_a_run_where_motion_is_told_to_mean_it()
    {
        Line Moving(double? least) => new Line { Rules = new CellRules { MotionAbove = least } }.Number(ChannelRole.Motion, t => t is >= 50 and < 55 ? -0.4 : 0.02);
        Assert.Equal((50, null, "motion", RunKind.Production), Assert.Single(Runs(Moving(0.2).Live(100).Events)));
        Assert.Empty(Moving(null).Live(100).Events.OfType<RunEvent>());
    }

    [Fact]
    public void Transport_sensor_that_has_cooled_ends_a_run_without_product_sensors()
    {
        Line line = new Line().Temperature(ChannelRole.Transport, t => Bench.Board(t)).Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber);
        (double Start, double? End, string Reason)[] runs = [.. Runs(line.Live(480, s_spec).Events).Select(r => (r.Start, r.End, r.Reason))];
        Assert.Equal("cooled", runs[1].Reason);
        // From 85 degC at 390 s to 30 at 460 s: below 60 from 421.8 s on.
        Assert.Equal(422, runs[1].End!.Value, 0.51);
    }

    [Fact]
    public void Transport_sensor_that_has_cooled_does_not_end_a_run_while_the_machine_says_that_it_goes_on()
    {
        Line line = new Line().Temperature(ChannelRole.Transport, t => Bench.Board(t)).Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber)
            .Signal(SignalMeaning.Running, Line.On((60, 450)));
        (double start, double? end, string reason, RunKind _) = Assert.Single(Runs(line.Live(480, s_spec).Events), r => r.End is not null);
        Assert.Equal((60.0, 450.0, "signal"), (start, end!.Value, reason));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Product_sensors_plugged_in_while_boards_without_them_cool_are_the_next_runs(bool evacuated)
    {
        // The first reading of the next boards' sensor comes in the very scan in which the contact falls.
        Line line = new Line().Temperature(ChannelRole.Product, t => t < 450 ? double.NaN : 24)
            .Temperature(ChannelRole.Transport, t => Bench.Board(t)).Pressure(t => evacuated ? Bench.Chamber(t) : 1000)
            .Signal(SignalMeaning.Running, Line.On((60, 450)));
        RunPicture run = line.Live(480, s_spec).Engine.Picture().Runs[0];
        Assert.Equal((RunKind.Production, "signal", (Verdict?)null), (run.Kind, run.EndReason, run.Verdict));
        Assert.DoesNotContain(run.Figures, f => f.Figure == "timeAboveLiquidus");
    }

    [Fact]
    public void Transport_sensor_that_has_cooled_ends_a_run_whose_start_alone_is_signalled()
    {
        Line line = new Line().Temperature(ChannelRole.Transport, t => Bench.Board(t)).Temperature(ChannelRole.Vapour, Vapour).Pressure(Bench.Chamber)
            .Signal(SignalMeaning.Start, Line.On((60, 62)));
        (double start, double? end, string reason, RunKind _) = Assert.Single(Runs(line.Live(480, s_spec).Events), r => r.End is not null);
        Assert.Equal((60.0, "cooled"), (start, reason));
        Assert.Equal(422, end!.Value, 0.51);
    }

    [Fact]
    public void Position_in_the_chamber_names_the_owner_of_an_evacuation_against_the_hotter_carrier()
    {
        // Both have sensors and an open run; B is hotter, yet A stands in the chamber.
        Line Two(bool position)
        {
            Line line = new Line { Carriers = ["A", "B"] }.Product("a1", t => Bench.Board(t) - 5, "A").Product("b1", t => Bench.Board(t), "B").Pressure(Bench.Chamber);
            return position ? line.Number(ChannelRole.Position, t => t is > 250 and < 330 ? 1 : 0) : line;
        }

        string[] OwnersOf(Line line) => [.. line.Live(480, s_spec, s_spec with { Carrier = "B" }).Engine.Picture().Runs
            .Where(r => r.Figures.Single(f => f.Figure == "evacuations").Value > 0).Select(r => r.Carrier)];
        Assert.Equal(["B"], OwnersOf(Two(position: false)));
        Assert.Equal(["A"], OwnersOf(Two(position: true)));
    }

    [Fact]
    public void Transport_sensor_tells_which_carrier_without_product_sensors_is_the_hotter()
    {
        Line line = new Line { Carriers = ["A", "B"] }.Pressure(Bench.Chamber)
            .Signal(SignalMeaning.Running, Line.On((60, 400)), "A").Signal(SignalMeaning.Running, Line.On((100, 400)), "B");
        CellDefinition cell = line.Cell;
        cell = cell with
        {
            Channels = [.. cell.Channels, Bench.Channel("ta", ChannelRole.Transport, MeasuredUnit.DegreeCelsius, "A"), Bench.Channel("tb", ChannelRole.Transport, MeasuredUnit.DegreeCelsius, "B")],
            Devices = [cell.Devices[0] with { Points = [.. cell.Devices[0].Points, "ta", "tb"] }],
        };
        var engine = new CellEngine(cell);
        Bench.Feed(engine, Enumerable.Range(0, 900).Select(i => i * 0.5).Select(t => Bench.Scan(
            t, Bench.Chamber(t), Line.On((60, 400))(t), Line.On((100, 400))(t), Bench.Board(t, 100), Bench.Board(t))));
        Assert.Equal([0.0, 1.0], engine.Picture().Runs.Select(r => r.Figures.Single(f => f.Figure == "evacuations").Value!.Value));
    }

    [Fact]
    public void Valve_gives_start_and_end_of_an_evacuation()
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t)).Pressure(Bench.Chamber).Signal(SignalMeaning.Valve, Line.On((286, 321)));
        (CellEngine engine, _) = line.Live(480, s_spec);
        RunPicture run = engine.Picture().Runs[0];

        PhaseSpan evacuate = run.Phases.Single(p => p.Name == "evacuate");
        Assert.Equal(286, evacuate.Start.SecondsSince(Bench.Epoch));
        Assert.Equal(321, run.Phases.Single(p => p.Name == "vent").End!.Value.SecondsSince(Bench.Epoch));
        // 50 mbar lies between 100 at 298 s and 20 at 302 s: reached at 300.5 s.
        Assert.Equal(300.5 - 286, run.Figures.Single(f => f.Figure == "pumpDownTime").Value!.Value, 1e-6);
    }

    [Fact]
    public void Valve_that_falls_silent_leaves_the_pressure_to_end_the_evacuation()
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t)).Pressure(Bench.Chamber)
            .Signal(SignalMeaning.Valve, t => t > 300 ? double.NaN : Line.On((286, 321))(t));
        (CellEngine engine, _) = line.Live(480, s_spec);
        Assert.Equal(317.8, engine.Picture().Runs[0].Phases.Single(p => p.Name == "vent").End!.Value.SecondsSince(Bench.Epoch), 0.1);
    }

    [Fact]
    public void Somebody_at_the_machine_is_said_with_the_run()
    {
        Line line = new Line().Signal(SignalMeaning.Running, Line.On((50, 200))).Signal(SignalMeaning.Manual, Line.On((100, 110)));
        Assert.Contains("intervened", line.Live(210).Engine.Picture().Runs[0].Notes);

        Line quiet = new Line().Signal(SignalMeaning.Running, Line.On((50, 200))).Signal(SignalMeaning.Manual, _ => 0);
        Assert.DoesNotContain("intervened", quiet.Live(210).Engine.Picture().Runs[0].Notes);
        var engine = new CellEngine(quiet.Cell);
        Bench.Feed(engine, quiet.Scans(100).Append(new InterventionInput(Bench.Epoch.AddSeconds(100), "A", "Kim", "stopped the pump")).Concat(quiet.Scans(210, 100.5)));
        Assert.Contains("intervened", engine.Picture().Runs[0].Notes);
    }

    [Fact]
    public void Recipe_that_changes_during_the_run_is_said()
    {
        Line line = new Line().Signal(SignalMeaning.Running, Line.On((50, 200))).Signal(SignalMeaning.Recipe, t => t < 120 ? 12 : 14);
        RunPicture run = line.Live(210).Engine.Picture().Runs[0];
        Assert.Equal((14, "recipeChanged"), (run.Recipe, Assert.Single(run.Notes)));
    }

    [Fact]
    public void Socket_with_nothing_in_it_does_not_keep_a_run_open_that_was_unplugged()
    {
        double Pulled(double t) => t > 310 ? double.NaN : Bench.At(t, (60, 25), (180, 240), (300, 120));
        Line line = new Line().Product("tc1", Pulled).Product("tc2", t => Pulled(t - 3)).Product("tc3", Open);
        RunEvent ended = line.Live(400, s_spec).Events.OfType<RunEvent>().Last();
        Assert.Equal((RunState.Ended, "unplugged"), (ended.State, ended.Reason));
        Assert.Equal(310, ended.End!.Value.SecondsSince(Bench.Epoch), 0.51);
    }

    [Fact]
    public void Sensors_that_open_while_the_joints_are_molten_were_not_unplugged()
    {
        Line line = new Line().Product("tc1", t => t > 178 ? double.NaN : Bench.At(t, (60, 25), (180, 240)));
        Assert.Single(line.Live(400, s_spec).Events.OfType<RunEvent>());
    }

    [Fact]
    public void Board_loaded_warm_is_found_within_five_seconds_also_by_signal()
    {
        // At 57 degC when it is loaded at 290 s: the signal says when, the sensors say how warm.
        Line line = new Line().Product("tc1", t => Bench.At(t, (290, 57), (400, 240))).Signal(SignalMeaning.Start, Line.On((290, 291)));
        (CellEngine engine, List<EngineEvent> events) = line.Live(350);
        Assert.Equal((290, "signal"), (Runs(events)[0].Start, Runs(events)[0].Reason));
        Assert.Contains("warmStart", engine.Picture().Runs[0].Notes);
    }

    [Fact]
    public void Air_alone_begins_no_run_while_boards_have_sensors_of_their_own()
    {
        Line line = new Line().Product("air", t => Bench.Board(t), place: Place.Air).Product("tc1", _ => 25).Product("tc2", _ => 25);
        Assert.Empty(line.Live(200).Events.OfType<RunEvent>());
        Assert.NotEmpty(new Line().Product("air", t => Bench.Board(t), place: Place.Air).Live(200).Events.OfType<RunEvent>());
    }
}
