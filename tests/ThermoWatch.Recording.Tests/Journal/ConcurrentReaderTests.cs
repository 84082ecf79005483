using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

public class ConcurrentReaderTests
{
    [Fact]
    public async Task Readers_beside_writer_and_sealer_see_every_entry_once_and_in_order()
    {
        const int Count = 20_000;
        using var folder = new TempFolder();
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, TimeProvider.System,
            new JournalOptions { SegmentBytes = 60_000, EntriesPerMark = 64 });

        Task[] readers = [.. Enumerable.Range(0, 3).Select(_ => Task.Run(() =>
        {
            long next = 1;
            while (next <= Count)
            {
                foreach (JournalEntry entry in journal.ReadFrom(next))
                {
                    Assert.Equal(next, entry.Sequence);
                    Sample.AssertSame(Sample.Scan((int)next - 1), Assert.IsType<InputEntry>(entry).Input);
                    next++;
                }
            }
        }))];
        await Task.Run(() =>
        {
            for (int i = 0; i < Count; i += 4)
            {
                EngineInput[] batch = [Sample.Scan(i), Sample.Scan(i + 1), Sample.Scan(i + 2), Sample.Scan(i + 3)];
                Assert.Equal(i + 1, journal.AppendBatch(batch));
            }
        });
        await Task.WhenAll(readers).WaitAsync(TimeSpan.FromMinutes(2));
        journal.SealClosed();
        Assert.Single(Directory.GetFiles(folder.Path, "*.twj")); // the others were sealed under the readers' hands
    }
}
