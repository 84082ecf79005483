using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Benchmarks;

/// <summary>Topic <c>store</c>: what a reading costs on disk, and how quickly it goes in and comes out.</summary>
internal static class StoreBenchmarks
{
    private const int Runs = 120, Buckets = 1000, ScansPerBatch = 10;

    /// <summary>Everything, in the parts below; each of them can be asked for alone.</summary>
    public static void Run()
    {
        RunSize();
        RunIngest();
        RunOpening();
        RunMemory();
    }

    /// <summary>Bytes on disk and bytes written, reading a run and the overview, each beside the peers with the same data.</summary>
    public static void RunSize() => In("size and reading", folder =>
    {
        var data = new StoreData(Runs, inMilliseconds: true);
        int[] picks = [.. Enumerable.Range(0, 20).Select(i => (i * 7919 + 13) % Runs)];
        MeasureRecording(data, Path.Combine(folder, "ms"), StorePeers.DuckDb(data, folder, picks, Buckets), StorePeers.VictoriaMetrics(data, folder), picks);
        var fine = new StoreData(Runs / 4, inMilliseconds: false);
        Figures.Less("bytes a reading, 100 ns times", Record(fine, Path.Combine(folder, "ticks")).ArchiveBytes / (double)fine.Readings, "B");
    });

    /// <summary>Readings a second, beside the peers with the same data.</summary>
    public static void RunIngest() => In("ingest", folder =>
    {
        var data = new StoreData(Runs, inMilliseconds: true);
        MeasureIngest(data, folder, StorePeers.VictoriaMetrics(data, folder));
    });

    /// <summary>A store of ten thousand runs is opened.</summary>
    public static void RunOpening() => In("opening", MeasureOpening);

    /// <summary>An hour of 512 channels.</summary>
    public static void RunMemory() => In("memory", StoreMemory.Measure);

    private static void In(string what, Action<string> measure)
    {
        Console.WriteLine($"# {what}: {Runs} runs of {StoreData.Channels} channels x 10 Hz x 6 min; peers with default configuration, same data, one run");
        string folder = Directory.CreateTempSubdirectory("thermowatch-store-").FullName;
        try
        {
            measure(folder);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    public static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }

    public static double Milliseconds(Action action)
    {
        long begun = Stopwatch.GetTimestamp();
        action();
        return Stopwatch.GetElapsedTime(begun).TotalMilliseconds;
    }

    public static void Expect(bool holds, string what)
    {
        if (!holds)
        {
            throw new InvalidOperationException($"Check failed: {what}.");
        }
    }

    private static void MeasureRecording(StoreData data, string folder, StorePeers.Figures duck, StorePeers.Figures? victoria, int[] picks)
    {
        Recorded recorded = Record(data, folder);
        double perReading = recorded.ArchiveBytes / (double)data.Readings;
        Figures.Less("bytes a reading, ms times (DuckDB)", perReading, "B", duck.BytesPerReading);
        Figures.Less("bytes a reading, ms times (VictoriaMetrics)", perReading, "B", victoria?.BytesPerReading);
        Figures.Less("bytes a reading of overviews, besides", recorded.OverviewBytes / (double)data.Readings, "B");
        Figures.Less("bytes given to write() a reading", (recorded.JournalBytes + recorded.ArchiveBytes + recorded.OverviewBytes) / (double)data.Readings, "B");

        using CellJournal journal = CellJournal.Open(folder, data.Cell, TimeProvider.System, new JournalOptions { SealInBackground = false });
        double read = Median(Enumerable.Repeat(picks, 5).SelectMany(all => all).Select(run => Milliseconds(() =>
        {
            int first = run * StoreData.ScansPerRun;
            ScanColumns[] columns = [.. journal.ReadScans(new Timestamp(data.Times[first]), new Timestamp(data.Times[first + StoreData.ScansPerRun - 1]))];
            Expect(columns.Sum(part => part.Count) == StoreData.ScansPerRun && columns[0].Values[3][0] == data.Counts[3][first], "the run read back");
        })));
        Figures.Less("read one run, 16 channels", read, "ms", duck.ReadRunMs);

        double overview = Median(Enumerable.Range(0, 15).Select(_ => Milliseconds(() =>
        {
            Overview all = journal.ReadOverview(0, 3, new Timestamp(data.Times[0]), new Timestamp(data.Times[^1]), Buckets);
            Expect(all.Damaged.Count == 0 && all.Buckets.Max(bucket => bucket.Most) == data.Counts[3].Max(), "the overview's highest value");
        })));
        double check = Median(Enumerable.Range(0, 5).Select(_ => Milliseconds(() => _ = data.Counts[3].Max())));
        Figures.Less("overview of all in 1,000 buckets", overview - check, "ms", duck.OverviewMs);
    }

    /// <summary>In rounds, each with both stores, as other programs come and go; the best round of each counts, and the processor time of the process beside it.</summary>
    private static void MeasureIngest(StoreData data, string folder, StorePeers.Figures? victoria)
    {
        const int Rounds = 4; // in the first the compiler is still at work on both
        List<Cost> duck = [], inTurn = [], beside = [];
        EngineInput[][] scans = [.. Enumerable.Range(0, data.Runs).Select(data.Scans)]; // what drivers hand over is there before, as DuckDB's numbers are
        for (int round = 0; round < Rounds; round++)
        {
            string mark = round.ToString(CultureInfo.InvariantCulture);
            duck.Add(CostOf(() => StorePeers.FillDuckDb(data, Path.Combine(folder, mark + ".duckdb"))));
            inTurn.Add(CostOf(() => Record(data, Path.Combine(folder, mark + "-in-turn"), scans)));
            beside.Add(CostOf(() => RecordBeside(data, Path.Combine(folder, mark + "-beside"), scans)));
        }

        double peer = data.Readings / duck.Min(cost => cost.Seconds) / 1e6;
        double turn = data.Readings / inTurn.Min(cost => cost.Seconds) / 1e6, both = data.Readings / beside.Min(cost => cost.Seconds) / 1e6;
        Figures.More("record and seal on one thread, readings/s (DuckDB)", turn, "M/s", peer);
        Figures.More("record and seal beside each other as the service does, readings/s (DuckDB)", both, "M/s", peer);
        Figures.More("the same (VictoriaMetrics)", both, "M/s", victoria?.ReadingsPerSecond / 1e6);
        Figures.Less("processor time to record and seal, a reading (DuckDB)", inTurn.Min(cost => cost.Processor) / data.Readings * 1e9, "ns",
            duck.Min(cost => cost.Processor) / data.Readings * 1e9);
    }

    private static Cost CostOf(Action ingest)
    {
        GC.Collect();
        TimeSpan before = Environment.CpuUsage.TotalTime;
        double seconds = Milliseconds(ingest) / 1000;
        return new Cost(seconds, (Environment.CpuUsage.TotalTime - before).TotalSeconds);
    }

    private sealed record Cost(double Seconds, double Processor);

    /// <summary>Records with the journal's own sealing thread, and waits until all is sealed.</summary>
    private static void RecordBeside(StoreData data, string folder, EngineInput[][] runs)
    {
        using CellJournal journal = CellJournal.Open(folder, data.Cell, TimeProvider.System);
        foreach (EngineInput[] scans in runs)
        {
            journal.CloseSegment();
            for (int at = 0; at < scans.Length; at += ScansPerBatch)
            {
                journal.AppendBatch(scans.AsSpan(at, ScansPerBatch));
            }
        }

        journal.CloseSegment();
        journal.Append(new TickInput(new Timestamp(data.Times[^1] + 1)));
        journal.SealClosed(); // waits for the thread, and leaves nothing
        Expect(journal.SealProblem is null && Directory.GetFiles(folder, "*.twj").Length == 1, "everything was sealed");
    }

    private static void MeasureOpening(string folder)
    {
        // Ten thousand blocks as of ten thousand runs, short ones: opening looks at the front of each block only.
        CellDefinition cell = new StoreData(1, inMilliseconds: true).Cell;
        var options = new JournalOptions { SealInBackground = false, BlockEntries = 16, SegmentBytes = 1L << 30 };
        using (CellJournal journal = CellJournal.Open(folder, cell, TimeProvider.System, options))
        {
            var qualities = new SignalQuality[StoreData.Channels];
            for (int i = 0; i < 160_001; i++)
            {
                if (i == 160_000)
                {
                    journal.CloseSegment();
                }

                journal.Append(new ScanInput(new RawScan(0, new Timestamp(1_000_000L * i), new double[StoreData.Channels], qualities)));
            }

            Expect(journal.SealClosed() == 1, "ten thousand blocks");
        }

        Figures.Less("open a store of 10,000 runs", Median(Enumerable.Range(0, 3).Select(_ => Milliseconds(() =>
            CellJournal.Open(folder, cell, TimeProvider.System, options).Dispose()))), "ms");
    }

    /// <summary>Records as the cell loop does, a second's scans a batch, and seals at the end of each run.</summary>
    private static Recorded Record(StoreData data, string folder, EngineInput[][]? runs = null)
    {
        long journalBytes = 0;
        using (CellJournal journal = CellJournal.Open(folder, data.Cell, TimeProvider.System, new JournalOptions { SealInBackground = false }))
        {
            for (int run = 0; run < data.Runs; run++)
            {
                EngineInput[] scans = runs is null ? data.Scans(run) : runs[run];
                journal.CloseSegment();
                for (int at = 0; at < scans.Length; at += ScansPerBatch)
                {
                    Expect(journal.AppendBatch(scans.AsSpan(at, ScansPerBatch)) > 0, "the batch was recorded");
                }

                journalBytes += new DirectoryInfo(folder).EnumerateFiles("*.twj").Max(file => file.Length);
                journal.SealClosed();
            }

            journal.CloseSegment();
            journal.Append(new TickInput(new Timestamp(data.Times[^1] + 1)));
            journal.SealClosed();
        }

        long overview = 0, archive = 0;
        foreach (FileInfo file in new DirectoryInfo(folder).EnumerateFiles("*.twb"))
        {
            archive += file.Length;
            overview += ArchiveStatistics.OverviewBytes(file.FullName);
        }

        return new Recorded(archive - overview, overview, journalBytes);
    }

    private sealed record Recorded(long ArchiveBytes, long OverviewBytes, long JournalBytes);
}
