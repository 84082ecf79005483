using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Archive;

public class ReadingTests
{
    private static readonly FakeTimeProvider Time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private static readonly JournalOptions Options = new() { SealInBackground = false, BlockEntries = 700 };
    private static readonly Timestamp Always = Sample.Noon.AddSeconds(1e6);

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Columns_of_a_span_are_the_scans_of_that_span(bool seal)
    {
        using var folder = new TempFolder();
        using CellJournal journal = Recorded(folder, seal, out List<RawScan> scans);
        foreach ((double from, double to) in new[] { (0.0, 1e6), (70.0, 140.0), (33.33, 33.39), (-5.0, -1.0), (199.0, 1e5) })
        {
            RawScan[] expected = [.. scans.Where(scan => scan.DeviceIndex == 0 && scan.Time >= Sample.Noon.AddSeconds(from) && scan.Time <= Sample.Noon.AddSeconds(to))];
            List<RawScan> read = [];
            foreach (ScanColumns columns in journal.ReadScans(Sample.Noon.AddSeconds(from), Sample.Noon.AddSeconds(to), problem => Assert.Fail(problem)).Where(columns => columns.DeviceIndex == 0))
            {
                for (int i = 0; i < columns.Count; i++)
                {
                    read.Add(new RawScan(0, columns.Times[i], [.. columns.Values.Select(column => column[i])], [.. Enumerable.Range(0, columns.Values.Length).Select(point => columns.QualityAt(point, i))]));
                }
            }

            Sample.AssertSame(expected.Select(scan => new ScanInput(scan)), read.Select((scan, index) => new InputEntry(index + 1, new ScanInput(scan))));
        }
    }

    [Theory]
    [InlineData(20)]
    [InlineData(300)]
    [InlineData(7)]
    [InlineData(2)]
    public void Overview_is_that_of_all_readings_and_no_single_spike_is_lost(int mostBuckets)
    {
        using var folder = new TempFolder();
        using CellJournal journal = Recorded(folder, seal: true, out List<RawScan> scans);
        Overview overview = journal.ReadOverview(0, 1, scans[0].Time, scans[^1].Time, mostBuckets);
        Assert.Empty(overview.Damaged);
        Assert.InRange(overview.Buckets.Count, 1, mostBuckets);

        var expected = scans.Where(scan => scan.DeviceIndex == 0 && !double.IsNaN(scan.Values[1])).GroupBy(scan => scan.Time.UtcTicks / overview.Width.Ticks)
            .Select(group => (Start: group.Key * overview.Width.Ticks, Count: group.LongCount(), Least: group.Min(scan => scan.Values[1]), Most: group.Max(scan => scan.Values[1]), Mean: group.Average(scan => scan.Values[1])))
            .ToArray();
        Assert.Equal(expected.Length, overview.Buckets.Count);
        for (int i = 0; i < expected.Length; i++)
        {
            OverviewBucket bucket = overview.Buckets[i];
            Assert.Equal((expected[i].Start, expected[i].Count, expected[i].Least, expected[i].Most), (bucket.Start.UtcTicks, bucket.Count, bucket.Least, bucket.Most));
            Assert.Equal(expected[i].Mean, bucket.Mean, tolerance: 1.0);
        }

        Assert.Equal(30_000, overview.Buckets.Max(bucket => bucket.Most));
    }

    [Fact]
    public void Overview_of_a_damaged_block_says_so()
    {
        using var folder = new TempFolder();
        Recorded(folder, seal: true, out List<RawScan> scans).Dispose();
        string archive = Directory.GetFiles(folder.Path, "*.twb").Single();
        byte[] bytes = File.ReadAllBytes(archive);
        using CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options);
        int block = bytes.AsSpan(bytes.Length / 2).IndexOf("TWBK"u8) + bytes.Length / 2;
        bytes[block + BlockHeader.Length + 20] ^= 4;
        File.WriteAllBytes(archive, bytes);
        Assert.Contains("checksum", Assert.Single(journal.ReadOverview(0, 1, scans[0].Time, Always, 1000).Damaged), StringComparison.Ordinal);
    }

    /// <summary>200 s of two instruments, with a spike, an open sensor and a step of time; the last part is not sealed.</summary>
    private static CellJournal Recorded(TempFolder folder, bool seal, out List<RawScan> scans)
    {
        CellJournal journal = CellJournal.Open(folder.Path, Sample.Cell, Time, Options);
        scans = [];
        for (int i = 0; i < 2000; i++)
        {
            RawScan scan = Sample.Scan(i).Scan;
            double[] values = [.. scan.Values];
            SignalQuality[] qualities = [.. scan.Qualities];
            values[1] = i == 777 ? 30_000 : values[1];
            if (i is > 1200 and < 1290)
            {
                (values[1], qualities[1]) = (double.NaN, SignalQuality.Bad(QualityReason.OpenCircuit));
            }

            scans.Add(new RawScan(0, scan.Time, values, qualities));
            journal.Append(new ScanInput(scans[^1]));
            if (i % 2 == 0)
            {
                scans.Add(Sample.Scan(i, device: 1, points: 1).Scan);
                journal.Append(new ScanInput(scans[^1]));
            }

            if (i == 1500)
            {
                journal.CloseSegment();
            }
        }

        if (seal)
        {
            Assert.Equal(1, journal.SealClosed());
        }

        return journal;
    }
}
