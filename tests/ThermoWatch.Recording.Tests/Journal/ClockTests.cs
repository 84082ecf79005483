using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Archive;

namespace ThermoWatch.Recording.Tests.Journal;

public class ClockTests
{
    [Fact]
    public void A_clock_that_went_back_neither_reorders_nor_hides_anything()
    {
        using var folder = new TempFolder();
        var time = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
        var options = new JournalOptions { SealInBackground = false, BlockEntries = 40 };
        EngineInput[] inputs = [.. Enumerable.Range(0, 300).Select(EngineInput (i) => Shifted(i, i < 150 ? TimeSpan.Zero : TimeSpan.FromHours(-3)))];
        using (CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, time, options))
        {
            SealingTests.Fill(journal, inputs[..150], every: 70);
            time.AdjustTime(time.GetUtcNow().AddHours(-3));
            SealingTests.Fill(journal, inputs[150..], every: 70);
            journal.CloseSegment();
            journal.Append(new TickInput(Sample.Noon.AddSeconds(99)));
            journal.SealClosed();
            Sample.AssertSame(inputs, journal.ReadFrom(1).SkipLast(1));
        }

        using CellJournal again = CellJournal.Open(folder.Path, Sample.Cell, time, options);
        Assert.Empty(again.Losses);
        Sample.AssertSame(inputs, again.ReadFrom(1).SkipLast(1));
        Assert.Empty(RecordVerification.OfJournal(folder.Path).Misfits);

        // Each span is found where its own times say that it is, in the order of recording.
        Timestamp before = Sample.Noon.AddSeconds(-3 * 3600);
        Assert.Equal(150, again.ReadScans(before, before.AddSeconds(60)).Sum(part => part.Count));
        Assert.Equal(150, again.ReadScans(Sample.Noon, Sample.Noon.AddSeconds(60)).Sum(part => part.Count));
        Overview all = again.ReadOverview(0, 0, before, Sample.Noon.AddSeconds(60), 1000);
        Assert.Equal(300, all.Buckets.Sum(bucket => bucket.Count));
    }

    private static ScanInput Shifted(int index, TimeSpan by)
    {
        RawScan scan = Sample.Scan(index).Scan;
        return new ScanInput(new RawScan(scan.DeviceIndex, scan.Time + by, scan.Values, scan.Qualities));
    }
}
