using CsCheck;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>One engine: live, replayed, or cut and restored, it says the same to the bit.</summary>
public class SnapshotTests
{
    [Fact]
    public void Engine_cut_anywhere_and_restored_goes_on_to_the_bit()
    {
        Gen.Select(Gen.Int[0, 20], Gen.Int[0, 1499].Array[1, 4]).Sample((seed, cuts) =>
        {
            Story story = Stories.TwoCarriers(seed);
            List<EngineEvent> expected = CutAndCompare(story, cuts.Contains);
            Assert.Equal(4, expected.OfType<RunEvent>().Count());
        }, iter: 15, threads: 1);
    }

    [Fact]
    public void Engine_with_signals_positions_and_vapour_cut_anywhere_goes_on_to_the_bit()
    {
        Gen.Select(Gen.Int[0, 20], Gen.Int[0, 1499].Array[1, 4]).Sample((seed, cuts) =>
        {
            List<EngineEvent> expected = CutAndCompare(Stories.SignalsAndVapour(seed), cuts.Contains);
            Assert.Contains(expected.OfType<RunEvent>(), e => e.Carrier == "A" && e.Kind == RunKind.Profile);
            Assert.Contains(expected.OfType<RunEvent>(), e => e.Carrier == "B" && e.Kind == RunKind.Production);
        }, iter: 15, threads: 1);
    }

    public static TheoryData<string> Endings => [.. Stories.Endings];

    // Cut again and again, so that wherever a rule has begun to count, some cut falls into what it must remember.
    [Theory]
    [MemberData(nameof(Endings))]
    public void Engine_cut_on_the_way_to_an_end_of_every_kind_goes_on_to_the_bit(string ending)
    {
        Gen.Select(Gen.Int[0, 100], Gen.Int[3, 40], Gen.Int[0, 39]).Sample((seed, every, first) =>
        {
            List<EngineEvent> expected = CutAndCompare(Stories.Ending(ending, seed), i => i % every == first % every);
            Assert.Contains(expected.OfType<RunEvent>(), e => e.State != RunState.Started && e.Reason == Stories.ReasonOf(ending));
        }, iter: 6, threads: 1);
    }

    private static List<EngineEvent> CutAndCompare(Story story, Func<int, bool> cut)
    {
        var whole = new CellEngine(story.Cell);
        List<EngineEvent> expected = Bench.Feed(whole, story.Inputs);
        var engine = new CellEngine(story.Cell);
        var events = new List<EngineEvent>();
        for (int i = 0; i < story.Inputs.Count; i++)
        {
            engine = cut(i) ? Restored(engine, story.Cell) : engine;
            engine.Advance(story.Inputs[i], events);
        }

        Assert.Equal(Stories.Text(expected, whole, Bench.Epoch), Stories.Text(events, engine, Bench.Epoch));
        return expected;
    }

    [Fact]
    public void Looking_at_the_picture_changes_nothing()
    {
        Story story = Stories.TwoCarriers(3);
        var quiet = new CellEngine(story.Cell);
        List<EngineEvent> expected = Bench.Feed(quiet, story.Inputs);

        var watched = new CellEngine(story.Cell);
        var events = new List<EngineEvent>();
        foreach (EngineInput input in story.Inputs)
        {
            watched.Advance(input, events);
            watched.Picture();
        }

        Assert.Equal(Stories.Text(expected, quiet, Bench.Epoch), Stories.Text(events, watched, Bench.Epoch));
    }

    [Fact]
    public void Snapshot_of_another_version_is_refused()
    {
        using var stream = new MemoryStream(BitConverter.GetBytes(int.MaxValue));
        using var reader = new BinaryReader(stream);
        Assert.Throws<InvalidDataException>(() => CellEngine.Restore(Bench.Cell(carriers: ["A", "B"]), reader));
    }

    [Fact]
    public void Snapshot_of_another_wiring_is_refused()
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        new CellEngine(Bench.Cell(carriers: ["A"])).Save(writer);
        stream.Position = 0;
        using var reader = new BinaryReader(stream);
        Assert.Throws<InvalidDataException>(() => CellEngine.Restore(Bench.Cell(carriers: ["A", "B"]), reader));
    }

    private static CellEngine Restored(CellEngine engine, CellDefinition cell)
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        engine.Save(writer);
        writer.Flush();
        stream.Position = 0;
        using var reader = new BinaryReader(stream);
        CellEngine restored = CellEngine.Restore(cell, reader);
        Assert.Equal(stream.Length, stream.Position);
        Assert.Equal(engine.Readings.ToArray(), restored.Readings.ToArray());
        return restored;
    }
}
