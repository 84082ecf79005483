using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

public class DiskTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30); // only to end a test that hangs

    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private readonly RefusingDisk _disk = new();

    [Fact]
    public void Full_disk_loses_nothing_while_memory_lasts_and_recovers_by_itself()
    {
        using var folder = new TempFolder();
        EngineInput[] inputs = [.. Enumerable.Range(0, 60).Select(i => Sample.Scan(i))];
        using (CellJournal journal = Open(folder))
        {
            for (int i = 0; i < inputs.Length; i++)
            {
                _disk.Full = i is >= 20 and < 40;
                _time.Advance(TimeSpan.FromMilliseconds(100));
                Assert.Equal(i + 1, journal.Append(inputs[i]));
                if (i == 30)
                {
                    Assert.Equal((JournalState.Waiting, "No space left on device"), (journal.Health.State, journal.Health.Reason));
                    Assert.Equal(11, journal.Health.WaitingEntries);
                    Assert.Equal(20, journal.LastSequence);
                }
            }

            Assert.Equal(new JournalHealth(JournalState.Recording, "", null, 0, 0), journal.Health);
            Sample.AssertSame(inputs, journal.ReadFrom(1));
        }

        using CellJournal again = Open(folder);
        Assert.Empty(again.Losses);
        Sample.AssertSame(inputs, again.ReadFrom(1));
    }

    [Fact]
    public void When_memory_is_full_too_the_loss_is_counted_and_marked_in_the_journal()
    {
        using var folder = new TempFolder();
        using CellJournal journal = Open(folder, new JournalOptions { WaitingBytes = 300 });
        journal.Append(Sample.Scan(0));
        _disk.Full = true;
        int next = 1;
        while (journal.Append(Sample.Scan(next)) != 0)
        {
            next++;
        }

        Assert.Equal(0, journal.AppendBatch([Sample.Scan(next + 1), Sample.Scan(next + 2)]));
        Assert.Equal(JournalState.Losing, journal.Health.State);
        Assert.Equal(3, journal.Health.NotRecorded);
        _disk.Full = false;
        _time.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal(next + 2, journal.Append(Sample.Scan(next + 3)));

        JournalEntry[] entries = [.. journal.ReadFrom(1)];
        Assert.Equal(Enumerable.Range(1, next + 2), entries.Select(entry => (int)entry.Sequence));
        GapEntry gap = Assert.Single(entries.OfType<GapEntry>());
        Assert.Equal((Sample.Scan(next).Time, Sample.Scan(next + 2).Time, 3L), (gap.Time, gap.Last, gap.Count));
        Sample.AssertSame([.. Enumerable.Range(0, next).Select(i => Sample.Scan(i)), Sample.Scan(next + 3)], entries.OfType<InputEntry>()
            .Select((entry, index) => entry with { Sequence = index + 1 }));
        Assert.Equal(JournalState.Recording, journal.Health.State);
    }

    [Fact]
    public void Disk_that_is_full_from_the_start_does_not_keep_the_journal_from_opening()
    {
        using var folder = new TempFolder();
        _disk.Full = true;
        using CellJournal journal = Open(folder);
        Assert.Equal(1, journal.Append(Sample.Scan(0)));
        Assert.Empty(journal.ReadFrom(1));
        _disk.Full = false;
        _time.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal(2, journal.Append(Sample.Scan(1)));
        Sample.AssertSame([Sample.Scan(0), Sample.Scan(1)], journal.ReadFrom(1));
    }

    [Fact]
    public async Task Readings_are_flushed_after_the_set_delay_and_not_before()
    {
        using var folder = new TempFolder();
        using CellJournal journal = Open(folder);
        journal.Append(Sample.Scan(0));
        journal.Append(Sample.Scan(1));
        _time.Advance(TimeSpan.FromMilliseconds(99));
        Assert.Equal((0, 0), (journal.SyncedSequence, _disk.Flushed.CurrentCount));
        _time.Advance(TimeSpan.FromMilliseconds(1));
        Assert.True(await _disk.Flushed.WaitAsync(Patience));
        Assert.True(await journal.SyncAsync().WaitAsync(Patience)); // behind the flush that was just seen
        Assert.Equal(2, journal.SyncedSequence);
        Assert.Equal(0, _disk.Flushed.CurrentCount); // one flush for both
    }

    [Fact]
    public void Default_delay_leaves_room_for_the_flush_within_a_quarter_second() =>
        Assert.InRange(new JournalOptions().SyncAfter, TimeSpan.Zero, TimeSpan.FromMilliseconds(150));

    [Fact]
    public async Task Slow_flush_holds_nobody_up()
    {
        using var folder = new TempFolder();
        using CellJournal journal = Open(folder);
        _disk.FlushGate.Reset();
        journal.Append(Sample.Scan(0));
        Task<bool> synced = journal.SyncAsync();
        for (int i = 1; i < 1000; i++)
        {
            Assert.Equal(i + 1, journal.Append(Sample.Scan(i)));
        }

        Assert.Equal(1000, journal.ReadFrom(1).Count());
        Assert.False(synced.IsCompleted);
        Assert.Equal(0, journal.SyncedSequence);
        _disk.FlushGate.Set();
        Assert.True(await synced.WaitAsync(Patience));
        Assert.True(await journal.SyncAsync().WaitAsync(Patience));
        Assert.Equal(1000, journal.SyncedSequence);
    }

    [Fact]
    public async Task Flush_that_fails_is_said_and_the_next_entry_goes_into_a_new_file()
    {
        using var folder = new TempFolder();
        using CellJournal journal = Open(folder);
        _disk.FlushFails = true;
        journal.Append(Sample.Scan(0));
        Assert.False(await journal.SyncAsync().WaitAsync(Patience));
        Assert.Equal("Input/output error", journal.Health.Reason);
        Assert.Equal(0, journal.SyncedSequence);
        _disk.FlushFails = false;
        journal.Append(Sample.Scan(1));
        Assert.Equal(2, Directory.GetFiles(folder.Path, "*.twj").Length);
        Sample.AssertSame([Sample.Scan(0), Sample.Scan(1)], journal.ReadFrom(1));
    }

    [Fact]
    public async Task Full_disk_answers_a_wish_to_be_synced_with_no()
    {
        using var folder = new TempFolder();
        using CellJournal journal = Open(folder);
        _disk.Full = true;
        journal.Append(Sample.Scan(0));
        Assert.False(await journal.SyncAsync().WaitAsync(Patience));
        _disk.Full = false;
        Assert.True(await journal.SyncAsync().WaitAsync(Patience));
        Assert.Equal(1, journal.SyncedSequence);
    }

    private CellJournal Open(TempFolder folder, JournalOptions? options = null) =>
        CellJournal.Open(folder.Path, Sample.Cell, _time, (options ?? new JournalOptions()) with { SealInBackground = false }, _disk);
}
