using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

public class ConcurrentReaderTests
{
    /// <summary>For minutes with THERMOWATCH_FULL=1.</summary>
    private static readonly bool IsFull = Environment.GetEnvironmentVariable("THERMOWATCH_FULL") == "1";

    [Fact]
    public async Task Readers_beside_writer_and_sealer_see_every_entry_once_and_in_order()
    {
        int count = IsFull ? 40_000_000 : 20_000;
        using var folder = new TempFolder();
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, TimeProvider.System,
            new JournalOptions { SegmentBytes = 60_000, EntriesPerMark = 64 });

        Task[] readers = [.. Enumerable.Range(0, 3).Select(_ => Task.Run(() =>
        {
            long next = 1;
            while (next <= count)
            {
                foreach (JournalEntry entry in journal.ReadFrom(next))
                {
                    Assert.Equal(next, entry.Sequence);
                    Sample.AssertSame(Sample.Scan((int)next - 1), Assert.IsType<InputEntry>(entry).Input);
                    next++;
                }
            }
        })), Task.Run(() => ReadNewestSpans(journal, count))];
        await Task.Run(() =>
        {
            for (int i = 0; i < count; i += 4)
            {
                EngineInput[] batch = [Sample.Scan(i), Sample.Scan(i + 1), Sample.Scan(i + 2), Sample.Scan(i + 3)];
                Assert.Equal(i + 1, journal.AppendBatch(batch));
            }
        });
        await Task.WhenAll(readers).WaitAsync(TimeSpan.FromMinutes(IsFull ? 30 : 2));
        journal.SealClosed();
        Assert.Single(Directory.GetFiles(folder.Path, "*.twj")); // the others were sealed under the readers' hands
    }

    /// <summary>What has been appended is in a span of time at once, be it in an open file, a closed or a sealed one.</summary>
    private static void ReadNewestSpans(CellJournal journal, int count)
    {
        const int Span = 150;
        for (long last = 0; last < count;)
        {
            last = journal.LastSequence;
            if (last < Span)
            {
                continue;
            }

            Timestamp from = Sample.Scan((int)last - Span).Time, to = Sample.Scan((int)last - 1).Time;
            Timestamp[] times = [.. journal.ReadScans(from, to, Assert.Fail).SelectMany(columns => columns.Times)];
            Assert.Equal(Enumerable.Range((int)last - Span, Span).Select(i => Sample.Scan(i).Time), times);
        }
    }
}
