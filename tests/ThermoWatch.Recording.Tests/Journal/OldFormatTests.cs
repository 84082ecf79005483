using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>Files as each version of the format wrote them. They are never made again: a program of today must read them.</summary>
public class OldFormatTests
{
    public static EngineInput[] Inputs { get; } =
    [
        new DeviceStateInput(Sample.Noon, 0, DeviceState.Up, ""),
        new SpecInput(Sample.Noon.AddSeconds(0.01), "A", Sample.Spec),
        .. Enumerable.Range(1, 12).Select(EngineInput (i) => Sample.Scan(i)),
        new ScanInput(new RawScan(1, Sample.Noon.AddSeconds(1.25), [1013.25f, double.NaN, -0.0, double.NegativeInfinity, 231.47],
            [default, SignalQuality.Bad(QualityReason.OpenCircuit), SignalQuality.Bad(QualityReason.OpenCircuit), SignalQuality.Uncertain(QualityReason.Spike), default])),
        new TickInput(Sample.Noon.AddSeconds(3)),
        new DeviceStateInput(Sample.Noon.AddSeconds(4), 1, DeviceState.Down, "no answer \u2013 cable?"),
        new AcknowledgeInput(Sample.Noon.AddSeconds(5), "tooHot/tc1", "M. Olsen", "seen"),
        Sample.Scan(60),
    ];

    [Fact]
    public void Version_1_journal_is_read()
    {
        using var folder = new TempFolder();
        File.Copy(Path.Combine(AppContext.BaseDirectory, "Samples", "journal-v1.twj"), folder[Segment.NameFor(1)]);
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, TimeProvider.System);
        Assert.Empty(journal.Losses);
        JournalEntry[] entries = [.. journal.ReadFrom(1)];
        Sample.AssertSame(Inputs, entries.OfType<InputEntry>());
        Assert.Equal("engine state", Encoding.UTF8.GetString(Assert.IsType<SnapshotEntry>(entries[^1]).State.Span));
        Assert.Equivalent(Sample.Cell, journal.DefinitionAt(1), strict: true);
    }

    [Fact]
    public void Version_1_archive_is_read()
    {
        using var folder = new TempFolder();
        File.Copy(Path.Combine(AppContext.BaseDirectory, "Samples", "archive-v1.twb"), folder["0000000000000001.twb"]);
        Assert.True(RecordVerification.OfJournal(folder.Path).IsWhole);
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, TimeProvider.System);
        Assert.Empty(journal.Losses);
        JournalEntry[] entries = [.. journal.ReadFrom(1)];
        Sample.AssertSame(Inputs, entries.OfType<InputEntry>());
        Assert.Equal("engine state", Encoding.UTF8.GetString(Assert.IsType<SnapshotEntry>(entries[^1]).State.Span));
        Assert.Equivalent(Sample.Cell, journal.DefinitionAt(1), strict: true);
        Assert.Equal(entries.Length + 1, journal.Append(Sample.Scan(99)));
    }

    [Fact]
    public void Version_1_archive_with_long_columns_is_read_and_what_follows_stands_in_a_file_of_its_own()
    {
        using var folder = new TempFolder();
        string old = folder["0000000000000001.twb"];
        File.Copy(Path.Combine(AppContext.BaseDirectory, "Samples", "archive-v1-columns.twb"), old);
        byte[] before = File.ReadAllBytes(old);
        EngineInput[] all = [.. OldColumns.Inputs, .. OldColumns.Inputs];
        using (CellJournal journal = CellJournal.Open(folder.Path, OldColumns.Cell, TimeProvider.System, new JournalOptions { SealInBackground = false }))
        {
            Assert.Empty(journal.Losses);
            Sample.AssertSame(OldColumns.Inputs, journal.ReadFrom(1).OfType<InputEntry>());
            journal.AppendBatch(OldColumns.Inputs);
            journal.CloseSegment();
            journal.Append(new TickInput(Sample.Noon));
            Assert.Equal(1, journal.SealClosed());
            Sample.AssertSame(all, journal.ReadFrom(1).OfType<InputEntry>().Take(all.Length));
        }

        Assert.Equal(before, File.ReadAllBytes(old));
        string[] files = [.. Directory.GetFiles(folder.Path, "*.twb").Order()];
        Assert.Equal([1, 2], files.Select(file => (int)File.ReadAllBytes(file)[8]));
        Assert.True(RecordVerification.OfJournal(folder.Path).IsWhole);
    }
}
