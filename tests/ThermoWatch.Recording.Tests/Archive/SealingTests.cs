using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Archive;

public class SealingTests
{
    private static readonly FakeTimeProvider Time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private static readonly JournalOptions Options = new() { EntriesPerMark = 10, SealInBackground = false, BlockEntries = 12 };

    private static readonly RefusingDisk Quick = new() { IsQuick = true };

    [Fact]
    public void Block_gives_back_every_entry_bit_for_bit() => Sample.AnyInput.Array[1, 80].Sample(inputs =>
    {
        List<JournalEntry> entries = [.. inputs.Select((input, index) => new InputEntry(index + 7, input))];
        entries.Insert(entries.Count / 2, new SnapshotEntry(0, Sample.Noon, new byte[] { 1, 2, 3 }));
        entries.Add(new GapEntry(0, Sample.Noon, Sample.Noon.AddSeconds(9), 90));
        entries = [.. entries.Select((entry, index) => entry with { Sequence = index + 7 })];

        var sink = new ByteSink();
        var contents = new BlockContents();
        contents.Clear(7);
        entries.ForEach(contents.Add);
        contents.Close();
        var codec = new BlockCodec();
        codec.Write(sink, contents, new byte[32]);
        BlockHeader header = BlockHeader.TryRead(sink.Written)!;
        Assert.Equal((7, entries.Count + 6, sink.Length, 1), (header.FirstSequence, header.LastSequence, header.BlockLength, header.Snapshots));
        Assert.True(header.Fits(sink.Written));
        List<JournalEntry> back = [.. BlockCodec.ReadEntries(sink.Written, header)!];
        Sample.AssertSame(inputs, back.OfType<InputEntry>().Select((entry, index) => entry with { Sequence = index + 1 }));
        Assert.Equal(entries.Select(entry => entry.Sequence), back.Select(entry => entry.Sequence));
        Assert.True(EntryComparison.Same(entries, back));
        Assert.True(codec.Holds(sink.Written, header, contents));
    }, iter: 300, print: inputs => string.Join(" ", inputs.Select(input => input.GetType().Name)));

    [Fact]
    public void Sealed_journal_reads_as_before_and_its_files_are_gone() => Gen.Select(Sample.AnyInput.Array[2, 60], Gen.Int[1, 9]).Sample((inputs, block) =>
    {
        using var folder = new TempFolder();
        JournalOptions options = Options with { BlockEntries = block };
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, options, Quick))
        {
            Fill(journal, inputs, every: 15);
            journal.SealClosed();
            Sample.AssertSame(inputs, journal.ReadFrom(1));
            Assert.Single(Directory.GetFiles(folder.Path, "*.twj"));
        }

        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, Time, options, Quick);
        Assert.Empty(again.Losses);
        Sample.AssertSame(inputs, again.ReadFrom(1));
        int middle = inputs.Length / 2;
        Sample.AssertSame(inputs[middle..], again.ReadFrom(middle + 1), middle + 1);
        Assert.Equivalent(Sample.Cell, again.DefinitionAt(1), strict: true);
    }, iter: 60);

    [Fact]
    public void Snapshot_is_found_in_a_sealed_block()
    {
        using var folder = new TempFolder();
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        journal.Append(Sample.Scan(0));
        journal.AppendSnapshot(Sample.Noon.AddSeconds(1), "first"u8);
        journal.CloseSegment();
        journal.Append(Sample.Scan(20));
        Assert.Equal(1, journal.SealClosed());
        JournalSnapshot found = journal.LatestSnapshot(Sample.Noon.AddSeconds(99))!;
        Assert.Equal(2, found.Sequence);
        Assert.True(found.State.Span.SequenceEqual("first"u8));
    }

    [Fact]
    public void New_wiring_is_kept_with_the_sealed_blocks()
    {
        using var folder = new TempFolder();
        CellDefinition wider = Sample.Cell with { Carriers = ["A", "B", "C"] };
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick))
        {
            journal.Append(Sample.Scan(0));
        }

        using CellJournal changed = CellJournal.Open(folder.Path, wider, Time, Options);
        changed.Append(Sample.Scan(1));
        changed.CloseSegment();
        changed.Append(Sample.Scan(2));
        Assert.Equal(2, changed.SealClosed());
        Assert.Equivalent(Sample.Cell, changed.DefinitionAt(1), strict: true);
        Assert.Equivalent(wider, changed.DefinitionAt(2), strict: true);
        Assert.Equivalent(wider, changed.DefinitionAt(3), strict: true);
    }

    [Fact]
    public void Every_flipped_byte_of_an_archive_is_found_and_never_read_as_a_value()
    {
        using TempFolder source = SealedFolder(out EngineInput[] inputs);
        string name = Path.GetFileName(Directory.GetFiles(source.Path, "*.twb").Single());
        byte[] whole = File.ReadAllBytes(source[name]);
        for (int at = 0; at < whole.Length; at += at < 1000 ? 1 : 7)
        {
            byte[] damaged = [.. whole];
            damaged[at] ^= (byte)(1 << at % 8);
            using TempFolder folder = Copy(source);
            File.WriteAllBytes(folder[name], damaged);
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
            JournalEntry[] entries = [.. journal.ReadFrom(1)];
            foreach (InputEntry entry in entries.OfType<InputEntry>())
            {
                Sample.AssertSame(inputs[entry.Sequence - 1], entry.Input);
            }

            bool said = journal.Losses.Count > 0 || entries.Any(entry => entry is DamagedEntries);
            Assert.True(said || !RecordVerification.OfJournal(folder.Path).IsWhole, $"byte {at} was changed and nothing said so");
            Assert.InRange(entries.OfType<InputEntry>().Count(), inputs.Length - Options.BlockEntries!.Value, inputs.Length);
        }
    }

    [Fact]
    public void Power_cut_at_any_moment_of_sealing_loses_nothing()
    {
        // Before: two journal files. Sealing writes the archive, then deletes the first. Any prefix of the archive may be what is left.
        using var before = new TempFolder();
        EngineInput[] inputs = [.. Enumerable.Range(0, 40).Select(EngineInput (i) => Sample.Scan(i))];
        using (CellJournal journal = CellJournal.Open(before.Path, Sample.Cell, Time, Options, Quick))
        {
            Fill(journal, inputs, every: 30);
        }

        using TempFolder after = Copy(before);
        using (CellJournal journal = CellJournal.Open(after.Path, Sample.Cell, Time, Options, Quick))
        {
            Assert.Equal(1, journal.SealClosed());
        }

        string archive = Directory.GetFiles(after.Path, "*.twb").Single();
        byte[] whole = File.ReadAllBytes(archive);
        for (int length = 0; length <= whole.Length; length += 3)
        {
            using TempFolder folder = Copy(before);
            File.WriteAllBytes(folder[Path.GetFileName(archive)], whole[..length]);
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
            Sample.AssertSame(inputs, journal.ReadFrom(1));
            journal.SealClosed();
            Sample.AssertSame(inputs, journal.ReadFrom(1));
            Assert.True(RecordVerification.OfJournal(folder.Path).IsWhole);
        }
    }

    [Fact]
    public void Damaged_journal_file_stays_as_it_is_and_the_others_are_sealed()
    {
        using var folder = new TempFolder();
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick))
        {
            Fill(journal, [.. Enumerable.Range(0, 40).Select(EngineInput (i) => Sample.Scan(i))], every: 10);
        }

        string second = folder[Segment.NameFor(11)];
        byte[] bytes = File.ReadAllBytes(second);
        bytes[^20] ^= 1;
        File.WriteAllBytes(second, bytes);
        for (int round = 0; round < 2; round++)
        {
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
            Assert.Equal(round == 0 ? 2 : 0, journal.SealClosed());
            JournalEntry[] entries = [.. journal.ReadFrom(1)];
            Assert.NotEmpty(entries.OfType<DamagedEntries>());
            Assert.All(entries.OfType<InputEntry>(), entry => Sample.AssertSame(Sample.Scan((int)entry.Sequence - 1), entry.Input));
            Assert.Equal(bytes, File.ReadAllBytes(second));
        }
    }

    [Fact]
    public void Large_archive_goes_on_in_a_new_file_with_the_chain()
    {
        using var folder = new TempFolder();
        JournalOptions options = Options with { ArchiveBytes = 3000 };
        EngineInput[] inputs = [.. Enumerable.Range(0, 200).Select(EngineInput (i) => Sample.Scan(i))];
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, options, Quick))
        {
            Fill(journal, inputs, every: 20);
            journal.SealClosed();
        }

        Assert.True(Directory.GetFiles(folder.Path, "*.twb").Length > 1);
        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, Time, options, Quick);
        Sample.AssertSame(inputs, again.ReadFrom(1));
        Assert.True(RecordVerification.OfJournal(folder.Path).IsWhole);
    }

    internal static void Fill(CellJournal journal, EngineInput[] inputs, int every)
    {
        for (int i = 0; i < inputs.Length; i++)
        {
            if (i > 0 && i % every == 0)
            {
                journal.CloseSegment();
            }

            journal.Append(inputs[i]);
        }
    }

    internal static TempFolder SealedFolder(out EngineInput[] inputs)
    {
        var folder = new TempFolder();
        inputs = [.. Enumerable.Range(0, 60).Select(EngineInput (i) => i % 7 == 6 ? new DeviceStateInput(Sample.Noon.AddSeconds(i), 0, DeviceState.Suspect, $"retry {i}") : Sample.Scan(i))];
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        Fill(journal, inputs, every: 25);
        journal.SealClosed();
        return folder;
    }

    internal static TempFolder Copy(TempFolder from)
    {
        var copy = new TempFolder();
        foreach (string file in Directory.GetFiles(from.Path))
        {
            File.Copy(file, copy[Path.GetFileName(file)]);
        }

        return copy;
    }
}
