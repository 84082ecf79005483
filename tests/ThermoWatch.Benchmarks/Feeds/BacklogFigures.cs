using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Feeds.Influx;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Publishing;

namespace ThermoWatch.Benchmarks.Feeds;

/// <summary>A real journal, a real feed and a real target: how late a live value is, alone and beside a backlog of days.</summary>
internal static class BacklogFigures
{
    private const long ScansPerWeek = 7L * 24 * 3600 * 10;
    private static readonly TimeSpan LiveFor = TimeSpan.FromSeconds(40);

    /// <summary>Live values only, at ten scans a second, with the feed's own defaults.</summary>
    public static async Task RunLiveAsync()
    {
        Console.WriteLine($"# live: a scan of {StoreData.Channels} channels every 100 ms into a journal for {LiveFor.TotalSeconds} s; lag is from before the scan is journalled to the target's confirmation");
        if (FeedPeer.Find("victoria-metrics") is { } victoria)
        {
            await using FeedPeer server = await FeedPeer.VictoriaAsync(victoria);
            await LiveAsync("line protocol", OnDatabase(server));
        }

        if (FeedPeer.Find("mosquitto") is { } mosquitto)
        {
            await using FeedPeer broker = await FeedPeer.MosquittoAsync(mosquitto);
            await LiveAsync("MQTT", new MqttTarget(new Broker("127.0.0.1", broker.Port), "bench"));
        }
    }

    /// <summary>A backlog goes out while live values come. THERMOWATCH_FULL=1: a whole week of the cell; else a fifth of it.</summary>
    public static async Task RunBacklogAsync()
    {
        if (FeedPeer.Find("victoria-metrics") is not { } victoria)
        {
            return;
        }

        await using FeedPeer server = await FeedPeer.VictoriaAsync(victoria);
        string folder = Directory.CreateTempSubdirectory("thermowatch-backlog-").FullName;
        try
        {
            long scans = Environment.GetEnvironmentVariable("THERMOWATCH_FULL") == "1" ? ScansPerWeek : ScansPerWeek / 5;
            await DrainAsync(folder, scans, new MeteredTarget(OnDatabase(server)));
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static InfluxTarget OnDatabase(FeedPeer server) =>
        InfluxTarget.On(new LineServer(new Uri($"http://127.0.0.1:{server.Port}"), 2, "bench") { Organisation = "bench" }, new LineNames());

    private static async Task LiveAsync(string what, IFeedTarget target)
    {
        string folder = Directory.CreateTempSubdirectory("thermowatch-live-").FullName;
        var metered = new MeteredTarget(target);
        using (var scans = new RepeatedScans(folder))
        {
            await using Feed feed = FeedOf(scans, folder, metered, fromBeginning: false);
            using var stop = new CancellationTokenSource();
            Task feeding = Task.Run(() => feed.RunAsync(stop.Token));
            await scans.LiveAsync(() => metered.Live.Count >= LiveFor / scans.Period);
            await stop.CancelAsync();
            await feeding;
        }

        Directory.Delete(folder, recursive: true);
        double[] lags = [.. metered.Live];
        Figures.Less($"live lag from journal to confirmation, {what}, p50", lags.At(0.5), "ms");
        Figures.Less($"live lag from journal to confirmation, {what}, p99", lags.At(0.99), "ms");
        Figures.Less($"live lag from journal to confirmation, {what}, worst of {lags.Length}", lags.Max(), "ms");
    }

    private static async Task DrainAsync(string folder, long backlog, MeteredTarget target)
    {
        using var scans = new RepeatedScans(folder);
        var writing = Stopwatch.StartNew();
        scans.Record(backlog);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"# backlog: {backlog * StoreData.Channels / 1e6:F1} M readings of one cell ({backlog / (double)ScansPerWeek:P0} of a week), recorded and sealed in {writing.Elapsed.TotalSeconds:F0} s; gzip, one request in flight; a live scan every 100 ms meanwhile"));

        await using Feed feed = FeedOf(scans, folder, target, fromBeginning: true);
        List<double> residentMb = [];
        GC.Collect();
        TimeSpan cpu = Environment.CpuUsage.TotalTime;
        using var stop = new CancellationTokenSource();
        var clock = Stopwatch.StartNew();
        Task feeding = Task.Run(() => feed.RunAsync(stop.Token));
        await scans.LiveAsync(() =>
        {
            residentMb.Add(Environment.WorkingSet / 1e6);
            return Interlocked.Read(ref target.HistoricalReadings) >= backlog * StoreData.Channels;
        });
        double seconds = clock.Elapsed.TotalSeconds;
        TimeSpan used = Environment.CpuUsage.TotalTime - cpu;
        await stop.CancelAsync();
        await feeding;

        double rate = backlog * StoreData.Channels / seconds;
        Figures.More("backlog drained from the record while live goes on", rate, "readings/s");
        Figures.Less("the same, a week of 16 channels at 10 Hz at that rate", ScansPerWeek * StoreData.Channels / rate, "s");
        Figures.Less("the same, CPU a reading, live and its recording included", used.TotalMicroseconds / (backlog * StoreData.Channels), "us");
        double[] lags = [.. target.Live];
        Figures.Less("live lag beside it, p99", lags.At(0.99), "ms");
        Figures.Less($"live lag beside it, worst of {lags.Length}", lags.Max(), "ms");
        Figures.Less("memory, highest of the first fifth of it", residentMb.Take(residentMb.Count / 5).Max(), "MB");
        Figures.Less("memory, highest of the last fifth of it", residentMb.Skip(residentMb.Count * 4 / 5).Max(), "MB");
    }

    private static Feed FeedOf(RepeatedScans scans, string folder, MeteredTarget target, bool fromBeginning)
    {
        // A backlog older than a second goes beside live values, as liveFirstAfter_s does it.
        var options = new FeedOptions("bench") { FromBeginning = fromBeginning, LiveFirstAfter = fromBeginning ? TimeSpan.FromSeconds(1) : null };
        return new Feed(options, [new JournalLane(1, scans.Journal)], target, new FeedFolder(Path.Combine(folder, "feed")), TimeProvider.System, new Random(1));
    }

    /// <summary>Runs of the store's benchmark one after another, for as long as one likes.</summary>
    private sealed class RepeatedScans : IDisposable
    {
        private const int ScansPerBatch = 50, ScansPerSegment = 36_000; // an hour
        private readonly StoreData _data = new(8, inMilliseconds: true);
        private readonly SignalQuality[] _qualities = new SignalQuality[StoreData.Channels];
        private long _next;

        public RepeatedScans(string folder) => Journal = CellJournal.Open(Path.Combine(folder, "journal"), _data.Cell, TimeProvider.System, new JournalOptions());

        public CellJournal Journal { get; }

        public TimeSpan Period { get; } = TimeSpan.FromMilliseconds(100);

        /// <summary>The past: so many scans that end ten minutes ago, as fast as they go in.</summary>
        public void Record(long scans)
        {
            long start = TimeProvider.System.GetUtcNow().UtcTicks - (10 * TimeSpan.TicksPerMinute) - (scans * Period.Ticks);
            var batch = new EngineInput[ScansPerBatch];
            for (long at = 0; at < scans; at += ScansPerBatch)
            {
                for (int i = 0; i < batch.Length; i++)
                {
                    batch[i] = Scan(new Timestamp(start + ((at + i) * Period.Ticks)));
                }

                StoreBenchmarks.Expect(Journal.AppendBatch(batch) > 0, "the batch was recorded");
                if (at % ScansPerSegment == 0)
                {
                    Journal.CloseSegment();
                    Journal.SealClosed();
                }
            }
        }

        /// <summary>The present: a scan a period until it is enough.</summary>
        public async Task LiveAsync(Func<bool> enough)
        {
            using var timer = new PeriodicTimer(Period);
            while (!enough())
            {
                await timer.WaitForNextTickAsync();
                Journal.Append(Scan(Timestamp.From(TimeProvider.System.GetUtcNow())));
            }
        }

        public void Dispose() => Journal.Dispose();

        private ScanInput Scan(Timestamp time)
        {
            long scan = _next++ % _data.Times.Length;
            var values = new double[StoreData.Channels];
            for (int channel = 0; channel < values.Length; channel++)
            {
                values[channel] = _data.Counts[channel][scan];
            }

            return new ScanInput(new RawScan(0, time, values, _qualities));
        }
    }

    /// <summary>Hands on, and notes how old each live scan is when the other side has confirmed it.</summary>
    private sealed class MeteredTarget(IFeedTarget target) : IFeedTarget
    {
        public long HistoricalReadings;

        /// <summary>Ages in ms.</summary>
        public List<double> Live { get; } = [];

        public string Kind => target.Kind;

        public string Address => target.Address;

        public string PrecisionRule => target.PrecisionRule;

        public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
        {
            Delivery delivery = await target.DeliverAsync(batch, stopping);
            StoreBenchmarks.Expect(delivery.Outcome == DeliveryOutcome.Delivered, "the batch was confirmed: " + delivery.Words);
            if (batch.IsHistorical)
            {
                Interlocked.Add(ref HistoricalReadings, batch.Weight);
            }
            else
            {
                var now = Timestamp.From(TimeProvider.System.GetUtcNow());
                Live.AddRange(batch.Items.Select(item => (now - item.Time).TotalMilliseconds));
            }

            return delivery;
        }

        public Task<string?> TendAsync(CancellationToken stopping) => target.TendAsync(stopping);

        public ValueTask DisposeAsync() => target.DisposeAsync();
    }
}
