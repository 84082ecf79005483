using System.Text;
using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

public class RoundTripTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    private static readonly RefusingDisk Quick = new() { IsQuick = true };

    [Fact]
    public void Every_input_comes_back_bit_for_bit_and_in_order() => Gen.Select(Sample.AnyInput.Array[0, 60], Gen.Int[1, 9]).Sample((inputs, perMark) =>
    {
        using var folder = new TempFolder();
        var options = new JournalOptions { EntriesPerMark = perMark, SegmentBytes = 2500 };
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, _time, options, Quick))
        {
            for (int i = 0; i < inputs.Length; i++)
            {
                Assert.Equal(i + 1, journal.Append(inputs[i]));
            }

            Sample.AssertSame(inputs, journal.ReadFrom(1));
        }

        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, _time, options, Quick);
        Assert.Empty(again.Losses);
        Sample.AssertSame(inputs, again.ReadFrom(1));
        int middle = inputs.Length / 2;
        Sample.AssertSame(inputs[middle..], again.ReadFrom(middle + 1), middle + 1);
    }, iter: 60);

    [Fact]
    public void Batch_is_numbered_without_a_hole()
    {
        using var folder = new TempFolder();
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, _time);
        EngineInput[] inputs = [.. Enumerable.Range(0, 50).Select(i => Sample.Scan(i))];
        Assert.Equal(1, journal.AppendBatch(inputs.AsSpan(0, 20)));
        Assert.Equal(21, journal.AppendBatch(inputs.AsSpan(20)));
        Assert.Equal(50, journal.LastSequence);
        Sample.AssertSame(inputs, journal.ReadFrom(1));
    }

    [Fact]
    public void Numbers_go_on_after_opening_again()
    {
        using var folder = new TempFolder();
        for (int round = 0; round < 5; round++)
        {
            using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, _time);
            Assert.Equal(round * 3 + 1, journal.AppendBatch([Sample.Scan(round * 3), Sample.Scan(round * 3 + 1), Sample.Scan(round * 3 + 2)]));
            Sample.AssertSame(Enumerable.Range(0, round * 3 + 3).Select(i => Sample.Scan(i)), journal.ReadFrom(1));
        }

        Assert.Single(Directory.GetFiles(folder.Path, "*.twj"));
    }

    [Fact]
    public void New_wiring_begins_a_new_file_and_both_can_be_told_apart()
    {
        using var folder = new TempFolder();
        CellDefinition wider = Sample.Cell with { Carriers = ["A", "B", "C"] };
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, _time))
        {
            journal.Append(Sample.Scan(0));
        }

        using CellJournal changed = CellJournal.Open(folder.Path, wider, _time, new JournalOptions { SealInBackground = false });
        Assert.Equal(2, changed.Append(Sample.Scan(1)));
        Assert.Equal(2, Directory.GetFiles(folder.Path, "*.twj").Length);
        Assert.Equivalent(Sample.Cell, changed.DefinitionAt(1), strict: true);
        Assert.Equivalent(wider, changed.DefinitionAt(2), strict: true);
        Sample.AssertSame([Sample.Scan(0), Sample.Scan(1)], changed.ReadFrom(1));
    }

    [Fact]
    public void Signals_and_rules_of_a_cell_come_back_with_its_wiring()
    {
        using var folder = new TempFolder();
        CellDefinition wired = Sample.Cell with
        {
            Channels = [.. Sample.Cell.Channels, new ChannelDefinition { Id = "start", Name = "Start", Role = ChannelRole.Signal, Signal = SignalMeaning.Start, Carrier = "B", Device = "amp", Point = "p3", Conversion = new ChannelConversion { Unit = MeasuredUnit.One } }],
            Rules = new CellRules { MotionAbove = 0.25, ChamberPosition = 2, EndAfterVent = TimeSpan.FromSeconds(45), VapourIsHottest = false, LogarithmicGauges = ["p"] },
        };
        using (CellJournal journal = CellJournal.Open(folder.Path, wired, _time))
        {
            journal.Append(Sample.Scan(0));
        }

        using CellJournal again = CellJournal.Open(folder.Path, wired, _time);
        Assert.Single(Directory.GetFiles(folder.Path, "*.twj"));
        Assert.Equivalent(wired, again.DefinitionAt(1), strict: true);
    }

    [Fact]
    public void Old_file_is_closed_by_age_by_size_and_on_demand()
    {
        using var folder = new TempFolder();
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, _time, new JournalOptions { SegmentAge = TimeSpan.FromMinutes(5), SegmentBytes = 4000, SealInBackground = false });
        int Files() => Directory.GetFiles(folder.Path, "*.twj").Length;
        journal.Append(Sample.Scan(0));
        Assert.Equal(1, Files());
        _time.Advance(TimeSpan.FromMinutes(5));
        journal.Append(Sample.Scan(1));
        Assert.Equal(2, Files());
        journal.CloseSegment();
        journal.Append(Sample.Scan(2));
        Assert.Equal(3, Files());
        journal.AppendSnapshot(Sample.Noon, new byte[4000]);
        journal.Append(Sample.Scan(3));
        Assert.Equal(4, Files());
        Assert.Equal([1, 2, 3, 4, 5], journal.ReadFrom(1).Select(entry => entry.Sequence));
    }

    [Fact]
    public void Latest_snapshot_is_the_newest_that_is_not_too_late()
    {
        using var folder = new TempFolder();
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, _time, new JournalOptions { EntriesPerMark = 3 }))
        {
            Assert.Null(journal.LatestSnapshot(Sample.Noon.AddSeconds(1e6)));
            for (int i = 0; i < 20; i++)
            {
                journal.Append(Sample.Scan(i));
                journal.AppendSnapshot(Sample.Noon.AddSeconds(i), Encoding.UTF8.GetBytes($"state {i}"));
                if (i == 9)
                {
                    journal.CloseSegment();
                }
            }
        }

        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, _time);
        Assert.Equal("state 19", Encoding.UTF8.GetString(again.LatestSnapshot(Sample.Noon.AddSeconds(1e6))!.State.Span));
        Assert.Equal("state 12", Encoding.UTF8.GetString(again.LatestSnapshot(Sample.Noon.AddSeconds(12.5))!.State.Span));
        JournalSnapshot older = again.LatestSnapshot(Sample.Noon.AddSeconds(3))!;
        Assert.Equal((8, Sample.Noon.AddSeconds(3)), (older.Sequence, older.Time));
        Assert.Null(again.LatestSnapshot(Sample.Noon.AddSeconds(-1)));
    }

    [Fact]
    public void Clock_that_goes_back_changes_neither_order_nor_numbers()
    {
        using var folder = new TempFolder();
        var time = new SteppedTime();
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, time);
        ScanInput late = Sample.Scan(36000), early = Sample.Scan(0);
        journal.Append(late);
        time.Now -= TimeSpan.FromHours(1);
        journal.Append(early);
        Sample.AssertSame([late, early], journal.ReadFrom(1));
    }

    private sealed class SteppedTime : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = new(2026, 3, 2, 12, 0, 0, TimeSpan.Zero);

        public override DateTimeOffset GetUtcNow() => Now;
    }
}
