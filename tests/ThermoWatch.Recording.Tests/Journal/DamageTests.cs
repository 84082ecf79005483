using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

public class DamageTests
{
    private static readonly FakeTimeProvider Time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private static readonly JournalOptions Options = new() { EntriesPerMark = 10, SealInBackground = false };

    private static readonly EngineInput[] Inputs =
        [.. Enumerable.Range(0, 30).Select(EngineInput (i) => i % 11 == 10 ? new DeviceStateInput(Sample.Noon.AddSeconds(i), 1, DeviceState.Down, "no answer") : Sample.Scan(i))];

    private static readonly RefusingDisk Quick = new() { IsQuick = true };

    [Fact]
    public void Every_prefix_of_a_file_opens_with_its_whole_entries_and_goes_on()
    {
        byte[] whole = WholeFile();
        int most = 0;
        for (int length = 0; length <= whole.Length; length++)
        {
            using TempFolder folder = With(whole[..length]);
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
            JournalEntry[] kept = [.. journal.ReadFrom(1)];
            Sample.AssertSame(Inputs[..kept.Length], kept);
            Assert.InRange(kept.Length, most, Inputs.Length);
            most = kept.Length;
            Assert.Equal(kept.Length + 1, journal.Append(Sample.Scan(999)));
            Sample.AssertSame([.. Inputs[..kept.Length], Sample.Scan(999)], journal.ReadFrom(1));
        }

        Assert.Equal(Inputs.Length, most);
    }

    [Fact]
    public void Torn_end_is_reported_once_and_what_was_cut_is_kept()
    {
        byte[] whole = WholeFile();
        using TempFolder folder = With(whole[..^3]);
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick))
        {
            JournalLoss loss = Assert.Single(journal.Losses);
            Assert.Equal(30, loss.FirstSequence);
            Assert.Contains("Torn end", loss.Reason, StringComparison.Ordinal);
        }

        string cut = Assert.Single(Directory.GetFiles(folder.Path, "*.cut-*"));
        byte[] together = [.. File.ReadAllBytes(Directory.GetFiles(folder.Path, "*.twj")[0]), .. File.ReadAllBytes(cut)];
        Assert.Equal(whole[..^3], together);
        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        Assert.Empty(again.Losses);
    }

    [Fact]
    public void Zeros_that_a_power_cut_left_behind_are_a_torn_end()
    {
        using TempFolder folder = With([.. WholeFile(), .. new byte[4096]]);
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        Assert.Equal(31, Assert.Single(journal.Losses).FirstSequence);
        Sample.AssertSame(Inputs, journal.ReadFrom(1));
    }

    [Fact]
    public void Every_flipped_byte_is_found_and_never_read_as_a_value()
    {
        byte[] whole = WholeFile();
        for (int at = 0; at < whole.Length; at++)
        {
            byte[] damaged = [.. whole];
            damaged[at] ^= (byte)(1 << at % 8);
            using TempFolder folder = With(damaged);
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
            Assert.True(journal.Losses.Count > 0, $"byte {at} was changed and nothing said so");
            JournalEntry[] entries = [.. journal.ReadFrom(1)];
            foreach (InputEntry entry in entries.OfType<InputEntry>())
            {
                Sample.AssertSame(Inputs[entry.Sequence - 1], entry.Input);
            }

            // A flip costs what leans on it up to the next mark, ten entries on; the header costs nothing.
            int lost = Inputs.Length - entries.OfType<InputEntry>().Count();
            Assert.InRange(lost, 0, 10);
        }
    }

    [Fact]
    public void Damage_in_the_middle_is_jumped_over_and_named()
    {
        byte[] damaged = WholeFile();
        int middle = IndexOfEntry(damaged, 15);
        damaged[middle] ^= 0xFF; // its length: the frames behind it cannot be found by counting on
        using TempFolder folder = With(damaged);
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        JournalEntry[] entries = [.. journal.ReadFrom(1)];
        DamagedEntries gap = Assert.Single(entries.OfType<DamagedEntries>());
        Assert.Equal((15, 20), (gap.Sequence, gap.LastSequence));
        Assert.Contains(".twj", gap.Reason, StringComparison.Ordinal);
        Assert.Equal([.. Enumerable.Range(1, 14), .. Enumerable.Range(21, 10)], entries.OfType<InputEntry>().Select(entry => (int)entry.Sequence));
        Assert.Equal(31, journal.Append(Sample.Scan(30)));
    }

    [Fact]
    public void Missing_file_is_a_named_hole()
    {
        using var folder = new TempFolder();
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick))
        {
            for (int i = 0; i < 9; i++)
            {
                journal.Append(Sample.Scan(i));
                if (i % 3 == 2)
                {
                    journal.CloseSegment();
                }
            }
        }

        File.Delete(folder[Segment.NameFor(4)]);
        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        JournalEntry[] entries = [.. again.ReadFrom(1)];
        DamagedEntries hole = Assert.Single(entries.OfType<DamagedEntries>());
        Assert.Equal((4, 6), (hole.Sequence, hole.LastSequence));
        Assert.Equal([1, 2, 3, 7, 8, 9], entries.OfType<InputEntry>().Select(entry => entry.Sequence));
    }

    [Fact]
    public void File_in_which_nothing_can_be_read_is_set_aside_and_its_numbers_are_not_used_again()
    {
        using var folder = new TempFolder();
        File.WriteAllBytes(folder[Segment.NameFor(1)], [.. Enumerable.Range(0, 500).Select(i => (byte)((i * 37 + 11) % 251))]);
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick);
        Assert.Contains("set aside", Assert.Single(journal.Losses).Reason, StringComparison.Ordinal);
        Assert.True(File.Exists(folder[Segment.NameFor(1) + ".damaged"]));
        Assert.Equal(501, journal.Append(Sample.Scan(0)));
    }

    [Fact]
    public void Random_bytes_never_throw()
    {
        var random = new Random(7);
        byte[] whole = WholeFile();
        for (int round = 0; round < 3000; round++)
        {
            byte[] bytes = [.. whole];
            for (int hits = random.Next(1, 8); hits > 0; hits--)
            {
                bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
            }

            SegmentHeader? header = SegmentHeader.TryRead(bytes, out _);
            var walk = new SegmentWalk(bytes, header?.Length ?? 0, 1, "file");
            while (walk.Next() is { } entry)
            {
                if (entry is InputEntry input)
                {
                    Sample.AssertSame(Inputs[input.Sequence - 1], input.Input);
                }
            }
        }
    }

    [Fact]
    public void Content_without_its_checksum_never_throws_either()
    {
        var random = new Random(8);
        for (int round = 0; round < 100_000; round++)
        {
            var content = new byte[random.Next(1, 60)];
            random.NextBytes(content);
            content[0] = (byte)random.Next(0, 9);
            _ = new EntryCodec().Read(content, 1);
        }
    }

    internal static byte[] WholeFile()
    {
        using var folder = new TempFolder();
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options, Quick))
        {
            foreach (EngineInput input in Inputs)
            {
                journal.Append(input);
            }
        }

        return File.ReadAllBytes(Directory.GetFiles(folder.Path, "*.twj").Single());
    }

    private static int IndexOfEntry(byte[] file, long sequence)
    {
        var walk = new SegmentWalk(file, SegmentHeader.TryRead(file, out _)!.Length, 1, "file");
        while (walk.NextSequence < sequence)
        {
            walk.Next();
        }

        return walk.Offset;
    }

    private static TempFolder With(byte[] file)
    {
        var folder = new TempFolder();
        File.WriteAllBytes(folder[Segment.NameFor(1)], file);
        return folder;
    }
}
