using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>A thermocouple that comes off its joint: what shows it, and what only looks like it.</summary>
public class LiftTests
{
    private const double Lifted = 307.5; // on the plateau of the bench's board, which begins at 60 s

    private static readonly SpecInput s_spec = new(Bench.Epoch, "A", Bench.Sac305(
        new Limit { Figure = "peakTemperature", Upper = 245 }, new Limit { Figure = "timeAboveLiquidus", Lower = 20, Upper = 90 }, new Limit { Figure = "peakSpread", Upper = 20 }));

    /// <summary>A bead that falls towards something cooler, within seconds.</summary>
    private static double Falls(double t, double at, double kelvin, double tau = 1.2) => t < at ? 0 : -kelvin * (1 - Math.Exp(-(t - at) / tau));

    private static Line Boards(Func<double, double> first, int others = 3)
    {
        Line line = new Line { PeriodSeconds = 0.25 }.Product("tc1", first);
        for (int i = 0; i < others; i++)
        {
            double lag = i;
            line.Product($"tc{i + 2}", t => Bench.Board(t, lag));
        }

        return line.Pressure(_ => 1013);
    }

    private static (RunPicture Run, DetachedEvent[] Marks, CellEngine Engine) Live(Line line)
    {
        (CellEngine engine, List<EngineEvent> events) = line.Live(520, s_spec);
        return (Assert.Single(engine.Picture().Runs), [.. events.OfType<DetachedEvent>()], engine);
    }

    [Theory]
    [InlineData(4)]
    [InlineData(12)]
    [InlineData(150)] // as one that is shorted at its plug
    public void Bead_that_falls_alone_and_stays_low_is_judged_up_to_its_last_sure_second_only(double kelvin)
    {
        (RunPicture run, DetachedEvent[] marks, _) = Live(Boards(t => Bench.Board(t) + Falls(t, Lifted, kelvin)));

        Assert.All(marks, m => Assert.Equal(("tc1", SignalQuality.Uncertain(QualityReason.Detached)), (m.ChannelId, m.Reading.Quality)));
        Assert.InRange(marks[0].Reading.Time.SecondsSince(Bench.Epoch) - Lifted, 0, 1); // the first unsure one
        Assert.InRange(marks[0].Time.SecondsSince(Bench.Epoch) - Lifted, 6, 8); // and when it was known
        GapSpan unknown = Assert.Single(run.Gaps);
        Assert.Equal(("tc1", null), (unknown.ChannelId, unknown.End));
        Assert.InRange(unknown.Start.SecondsSince(Bench.Epoch) - Lifted, -0.5, 1);

        FigureResult Figure(string name, string? channel) => run.Figures.Single(f => f.Figure == name && f.ChannelId == channel);
        Assert.Equal(Verdict.Undetermined, run.Verdict);
        Assert.All(run.Reasons, r => Assert.EndsWith("/tc1:badQuality", r, StringComparison.Ordinal));
        Assert.Equal((Verdict.Undetermined, "badQuality"), (Figure("timeAboveLiquidus", "tc1").Verdict!.Value, Figure("timeAboveLiquidus", "tc1").Reason));
        Assert.All(["tc2", "tc3", "tc4"], c => Assert.Equal(Verdict.Pass, Figure("timeAboveLiquidus", c).Verdict));
        Assert.Equal((Verdict.Pass, "channelLost:tc1"), (Figure("peakSpread", null).Verdict!.Value, Figure("peakSpread", null).Notes[0]));
    }

    [Fact]
    public void Readings_come_marked_from_then_on_until_the_run_is_over()
    {
        Line line = Boards(t => Bench.Board(t) + Falls(t, Lifted, 12));
        var engine = new CellEngine(line.Cell);
        var events = new List<EngineEvent> { Capacity = 64 };
        engine.Advance(s_spec, events);
        bool ended = false;
        foreach (EngineInput input in line.Scans(520))
        {
            engine.Advance(input, events);
            bool marked = events.OfType<DetachedEvent>().Any() && !ended;
            Assert.Equal(marked ? SignalQuality.Uncertain(QualityReason.Detached) : SignalQuality.Good, engine.Readings[0].Quality);
            ended |= events.OfType<RunEvent>().Any(e => e.State == RunState.Ended); // by a reading of the scan before: the next is another run's
        }

        Assert.True(ended);
    }

    [Theory]
    [InlineData(5, 0)]
    [InlineData(5, 3)]
    [InlineData(17, 11)]
    public void Engine_cut_and_restored_on_the_way_to_it_says_the_same(int every, int first)
    {
        Line line = Boards(t => Bench.Board(t) + Falls(t, Lifted, 12));
        EngineInput[] inputs = [s_spec, .. line.Scans(520)];
        var whole = new CellEngine(line.Cell);
        List<EngineEvent> expected = Bench.Feed(whole, inputs);
        CellEngine engine = new(line.Cell);
        var events = new List<EngineEvent>();
        for (int i = 0; i < inputs.Length; i++)
        {
            if (i % every == first)
            {
                using var stream = new MemoryStream();
                engine.Save(new BinaryWriter(stream));
                stream.Position = 0;
                engine = CellEngine.Restore(line.Cell, new BinaryReader(stream));
            }

            engine.Advance(inputs[i], events);
        }

        Assert.NotEmpty(events.OfType<DetachedEvent>());
        Assert.Equal(Stories.Text(expected, whole, Bench.Epoch), Stories.Text(events, engine, Bench.Epoch));
    }

    [Fact]
    public void Order_in_which_two_devices_answer_changes_nothing_of_what_is_judged()
    {
        RunPicture[] runs = [.. new[] { -0.04, 0.04 }.Select(late =>
        {
            Line line = Boards(t => Bench.Board(t) + Falls(t, Lifted, 12));
            CellDefinition cell = line.Cell with
            {
                Devices = [new DeviceDefinition("d", "first", TimeSpan.FromSeconds(0.25), ["tc1", "p"]), new DeviceDefinition("e", "second", TimeSpan.FromSeconds(0.25), ["tc2", "tc3", "tc4"])],
                Channels = [.. line.Cell.Channels.Select(c => c.Id is "tc1" or "p" ? c : c with { Device = "e" })],
            };
            var engine = new CellEngine(cell);
            IEnumerable<EngineInput> inputs = line.Scans(520).Cast<ScanInput>().SelectMany(s => new (double Order, ScanInput Input)[]
            {
                (s.Time.SecondsSince(Bench.Epoch), Part(s, 0, 0, 4)), (s.Time.SecondsSince(Bench.Epoch) + late, Part(s, 1, 1, 2, 3)),
            }).OrderBy(p => p.Order).Select(p => p.Input);
            Bench.Feed(engine, inputs.Prepend(s_spec));
            return Assert.Single(engine.Picture().Runs);
        })];
        Assert.Equal("tc1", Assert.Single(runs[0].Gaps).ChannelId);
        Assert.Equal(runs[0].Gaps, runs[1].Gaps);
        Assert.Equal(runs[0].Figures.Select(f => (f.Figure, f.ChannelId, f.Value, f.Reason)), runs[1].Figures.Select(f => (f.Figure, f.ChannelId, f.Value, f.Reason)));

        static ScanInput Part(ScanInput whole, int device, params int[] points) => new(new RawScan(
            device, whole.Time, [.. points.Select(p => whole.Scan.Values[p])], [.. points.Select(p => whole.Scan.Qualities[p])]));
    }

    public static TheoryData<string, Func<double, double>, int> Lookalikes => new()
    {
        { "a third other is missing", t => Bench.Board(t) + Falls(t, Lifted, 12), 2 },
        { "it comes back", t => Bench.Board(t) + Falls(t, Lifted, 12) - Falls(t, Lifted + 3, 12), 3 },
        { "it goes on falling, as a light joint that cools first", t => Bench.Board(t) + Falls(t, Lifted, 120, tau: 12), 3 },
        { "it falls from above all others back to them, as after a radiant heater", t => Bench.Board(t) + (t is > 280 and < Lifted ? 12 : 0) + (t >= Lifted ? 12 + Falls(t, Lifted, 12) : 0), 3 },
        { "hum", t => Bench.Board(t) + (4 * Math.Sin(2 * Math.PI * t / 3.1)), 3 },
        { "noise", t => Bench.Board(t) + (Math.Sin(t * 40) * 1.2), 3 },
    };

    [Theory]
    [MemberData(nameof(Lookalikes))]
    public void What_only_looks_like_it_marks_nothing(string why, Func<double, double> first, int others)
    {
        Assert.NotEmpty(why);
        (RunPicture run, DetachedEvent[] marks, _) = Live(Boards(first, others));
        Assert.Empty(marks);
        Assert.Empty(run.Gaps);
    }

    [Fact]
    public void Bead_that_lifts_while_all_are_still_rising_hardly_falls_and_is_found_all_the_same()
    {
        // In the ramp: from here on a good part of what it feels is the air, which is 12 K cooler and does not rise.
        const double At = 277.5;
        (RunPicture run, DetachedEvent[] marks, _) = Live(Boards(t => Bench.Board(t) + (t is < At or > 340 ? 0 : 0.7 * (Bench.Board(At) - 6 - Bench.Board(t)) * (1 - Math.Exp(-(t - At) / 1.5)))));
        Assert.InRange(marks[0].Reading.Time.SecondsSince(Bench.Epoch) - At, 0, 1.5);
        Assert.Equal(Verdict.Undetermined, run.Verdict);
    }

    [Fact]
    public void Joints_that_fall_together_mark_nothing()
    {
        // As at the stroke of the pump, when the film flashes off: two of four by 5 K, the heavy ones hardly.
        Line line = new Line { PeriodSeconds = 0.25 };
        for (int i = 1; i <= 4; i++)
        {
            double depth = i <= 2 ? 5 : 0.3;
            line.Product($"tc{i}", t => Bench.Board(t) + Falls(t, Lifted, depth));
        }

        Assert.Empty(Live(line).Marks);
    }
}
