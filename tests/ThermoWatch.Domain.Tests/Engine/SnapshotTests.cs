using System.Collections.Immutable;
using System.Text.Json;
using CsCheck;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using Spec = ThermoWatch.Domain.Specs.Spec;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>One engine: live, replayed, or cut and restored, it says the same to the bit.</summary>
public class SnapshotTests
{
    /// <summary>Two carriers with noise, gaps, spikes, open sensors, ticks, device states, acknowledgements, two specs.</summary>
    private static List<EngineInput> Story(int seed)
    {
        var random = new Random(seed);
        Spec spec = Bench.Sac305(
            new ThermoWatch.Domain.Specs.Limit { Figure = "peakTemperature", Upper = 238 }, new ThermoWatch.Domain.Specs.Limit { Figure = "timeAboveLiquidus", Lower = 40, Upper = 90 });
        var inputs = new List<EngineInput> { new SpecInput(Bench.Epoch, "A", spec) };
        for (int i = 0; i < 1500; i++)
        {
            double t = (i * 0.5) + (random.NextDouble() * 0.1);
            double noise() => (random.NextDouble() - 0.5) * 0.4;
            double a = Bench.Board(t) + noise();
            double b = Bench.Board(t, 150) + noise();
            a = random.Next(300) == 0 ? a + 40 : random.Next(200) == 0 ? double.NaN : a;
            if (i % 400 is > 200 and < 209)
            {
                inputs.Add(new TickInput(Bench.Epoch.AddSeconds(t)));
            }
            else
            {
                inputs.Add(Bench.Scan(t, a, Bench.Board(t, 3) + noise(), b, Bench.Board(t, 152), Bench.Chamber(t) * (1 + (noise() / 200))));
            }

            if (i == 700)
            {
                inputs.Add(new AcknowledgeInput(Bench.Epoch.AddSeconds(t), "tooHot/A1", "Kim", ""));
                inputs.Add(new SpecInput(Bench.Epoch.AddSeconds(t), "B", spec with { Version = 2 }));
                inputs.Add(new DeviceStateInput(Bench.Epoch.AddSeconds(t), 0, DeviceState.Suspect, "slow"));
            }
        }

        return inputs;
    }

    private static CellDefinition Cell => Bench.Cell(carriers: ["A", "B"]);

    private static string Text(IEnumerable<EngineEvent> events, CellEngine engine) => string.Join('\n', events.Select(e => e switch
    {
        FigureEvent figure => JsonSerializer.Serialize(figure),
        PhaseEvent phase => JsonSerializer.Serialize(phase),
        RunEvent run => JsonSerializer.Serialize(run),
        AlarmEvent alarm => JsonSerializer.Serialize(alarm),
        SpikeEvent spike => JsonSerializer.Serialize(spike),
        _ => throw new InvalidOperationException("An event that this test does not know."),
    })) + JsonSerializer.Serialize(engine.Picture());

    [Fact]
    public void Engine_cut_anywhere_and_restored_goes_on_to_the_bit()
    {
        Gen.Select(Gen.Int[0, 20], Gen.Int[0, 1499].Array[1, 4]).Sample((seed, cuts) =>
        {
            List<EngineInput> inputs = Story(seed);
            var whole = new CellEngine(Cell);
            List<EngineEvent> expected = Bench.Feed(whole, inputs);
            Assert.Equal(4, expected.OfType<RunEvent>().Count());

            var engine = new CellEngine(Cell);
            var events = new List<EngineEvent>();
            for (int i = 0; i < inputs.Count; i++)
            {
                if (cuts.Contains(i))
                {
                    engine = Restored(engine);
                }

                engine.Advance(inputs[i], events);
            }

            Assert.Equal(Text(expected, whole), Text(events, engine));
        }, iter: 15, threads: 1);
    }

    [Fact]
    public void Engine_with_signals_positions_and_vapour_cut_anywhere_goes_on_to_the_bit()
    {
        Gen.Select(Gen.Int[0, 20], Gen.Int[0, 1499].Array[1, 4]).Sample((seed, cuts) =>
        {
            var random = new Random(seed);
            double noise() => (random.NextDouble() - 0.5) * 0.3;
            double lag = random.Next(20);
            Line line = new Line { Carriers = ["A", "B"], Rules = new CellRules { MotionAbove = 0.5 } }
                .Product("a1", t => Bench.Board(t, lag) + noise(), "A").Product("b1", t => t is > 500 and < 520 ? 25 : double.NaN, "B")
                .Temperature(ChannelRole.Vapour, t => Bench.At((t + lag) % 250, (60, 240), (70, 228), (90, 240)) + noise())
                .Temperature(ChannelRole.Transport, t => Bench.Board(t - 50) + noise(), "B").Pressure(t => Bench.Chamber(t % 350) * (1 + (noise() / 100)))
                .Signal(SignalMeaning.Recipe, t => t < 300 ? 12 : 14).Signal(SignalMeaning.Unload, Line.On((450 + lag, 452 + lag)), "A")
                .Signal(SignalMeaning.Valve, t => random.Next(50) == 0 ? double.NaN : Line.On((620 + lag, 650 + lag))(t))
                .Number(ChannelRole.Position, t => t is > 540 and < 600 ? 1 : 0, "B").Number(ChannelRole.Motion, t => t is > 700 and < 702 ? 1 : noise(), "B");
            CellDefinition cell = line.Cell;
            List<EngineInput> inputs = [new SpecInput(Bench.Epoch, "A", Bench.Sac305()), .. line.Scans(750)];
            var whole = new CellEngine(cell);
            List<EngineEvent> expected = Bench.Feed(whole, inputs);
            Assert.Contains(expected.OfType<RunEvent>(), e => e.Carrier == "A" && e.Kind == RunKind.Profile);
            Assert.Contains(expected.OfType<RunEvent>(), e => e.Carrier == "B" && e.Kind == RunKind.Production);

            var engine = new CellEngine(cell);
            var events = new List<EngineEvent>();
            for (int i = 0; i < inputs.Count; i++)
            {
                engine = cuts.Contains(i) ? Restored(engine, cell) : engine;
                engine.Advance(inputs[i], events);
            }

            Assert.Equal(Text(expected, whole), Text(events, engine));
        }, iter: 15, threads: 1);
    }

    [Fact]
    public void Looking_at_the_picture_changes_nothing()
    {
        List<EngineInput> inputs = Story(3);
        var quiet = new CellEngine(Cell);
        List<EngineEvent> expected = Bench.Feed(quiet, inputs);

        var watched = new CellEngine(Cell);
        var events = new List<EngineEvent>();
        foreach (EngineInput input in inputs)
        {
            watched.Advance(input, events);
            watched.Picture();
        }

        Assert.Equal(Text(expected, quiet), Text(events, watched));
    }

    [Fact]
    public void Moving_the_record_in_time_changes_no_figure()
    {
        ImmutableArray<FigureResult> At(double offset)
        {
            var engine = new CellEngine(Bench.Cell());
            Bench.Feed(engine, Bench.Cycle(offset: offset).Prepend(new SpecInput(Bench.Epoch, "A", Bench.Sac305())));
            return engine.Picture().Runs[0].Figures;
        }

        Assert.Equal(JsonSerializer.Serialize(At(0)), JsonSerializer.Serialize(At(86400 * 365)));
    }

    [Fact]
    public void Snapshot_of_another_version_is_refused()
    {
        using var stream = new MemoryStream(BitConverter.GetBytes(int.MaxValue));
        using var reader = new BinaryReader(stream);
        Assert.Throws<InvalidDataException>(() => CellEngine.Restore(Cell, reader));
    }

    [Fact]
    public void Snapshot_of_another_wiring_is_refused()
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        new CellEngine(Bench.Cell(carriers: ["A"])).Save(writer);
        stream.Position = 0;
        using var reader = new BinaryReader(stream);
        Assert.Throws<InvalidDataException>(() => CellEngine.Restore(Cell, reader));
    }

    private static CellEngine Restored(CellEngine engine, CellDefinition? cell = null)
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        engine.Save(writer);
        writer.Flush();
        stream.Position = 0;
        using var reader = new BinaryReader(stream);
        CellEngine restored = CellEngine.Restore(cell ?? Cell, reader);
        Assert.Equal(stream.Length, stream.Position);
        Assert.Equal(engine.Readings.ToArray(), restored.Readings.ToArray());
        return restored;
    }
}
