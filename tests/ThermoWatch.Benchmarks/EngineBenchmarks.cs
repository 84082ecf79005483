using System.Diagnostics;
using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Benchmarks;

/// <summary>The engine on a run of 6 minutes, 16 channels at 10 Hz, 40 limits: live, from a file, and many at once.</summary>
/// <remarks>Peers: a plain pass over the same numbers that only finds the maximum, and figures computed the slow, obvious way.</remarks>
internal static class EngineBenchmarks
{
    private const int Products = 15;
    private const int Scans = 3600;
    private const int Readings = (Products + 1) * Scans;
    private const int Rounds = 15;
    private const int Batch = 60;
    private const double WarmSeconds = 1.5;

    private static readonly Timestamp s_start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    public static void Run()
    {
        Spec spec = MakeSpec();
        CellDefinition cell = MakeCell();
        ScanInput[] scans = MakeScans();
        byte[] bytes = MakeFile(scans);

        long first = Stopwatch.GetTimestamp();
        RecordedRun.Judge(CurveFile.Parse(bytes).File!, spec, null);
        double cold = Stopwatch.GetElapsedTime(first).TotalSeconds;
        CurveFile file = CurveFile.Parse(bytes).File!;
        double[] live = Measure(() => Live(cell, spec, scans));
        double[] maximum = Measure(() => Maximum(scans));
        double[] judged = Measure(() => RecordedRun.Judge(CurveFile.Parse(bytes).File!, spec, null));
        int done = 0;
        double[] many = Measure(() => Parallel.For(0, Batch, _ =>
        {
            RecordedRun.Judge(file, spec, null);
            Interlocked.Increment(ref done); // what progress costs
        }), rounds: 7);
        double[] manyFiles = Measure(() => Parallel.For(0, Batch, _ => RecordedRun.Judge(CurveFile.Parse(bytes).File!, spec, null)), rounds: 5);
        double slow = Measure(() => SlowFigures.Of(file), rounds: 1)[0];

        double perReading = Median(live) / Readings * 1e9;
        Line("live, a reading, whole run with its judgement", perReading, "ns", Median(maximum) / Readings * 1e9, Median(maximum) / Median(live));
        Line("live vs slow implementation, a reading", perReading, "ns", slow / Readings * 1e9, slow / Median(live));
        Line("allocated in the middle of a run, a scan", AllocatedPerScan(cell, spec, scans), "B", null, null);
        Line("curve file read and judged", Median(judged) * 1e3, "ms", null, null);
        Line($"stored runs judged anew, {Environment.ProcessorCount} cores, with progress", Batch / Median(many), "runs/s", null, null);
        Line($"curve files read and judged, {Environment.ProcessorCount} cores", Batch / Median(manyFiles), "runs/s", null, null);
        Line("the first file of a process", cold * 1e3, "ms", null, null);
        AlarmBenchmarks.Run();
    }

    private static void Live(CellDefinition cell, Spec spec, ScanInput[] scans)
    {
        var engine = new CellEngine(cell);
        var events = new List<EngineEvent>();
        engine.Advance(new SpecInput(s_start, "A", spec), events);
        foreach (ScanInput scan in scans)
        {
            engine.Advance(scan, events);
        }

        if (events.OfType<RunEvent>().Count(e => e.State == RunState.Ended) != 1)
        {
            throw new InvalidOperationException("The benchmark's run did not begin and end once: it measures something else.");
        }
    }

    private static double AllocatedPerScan(CellDefinition cell, Spec spec, ScanInput[] scans)
    {
        var engine = new CellEngine(cell);
        var events = new List<EngineEvent>(4096);
        engine.Advance(new SpecInput(s_start, "A", spec), events);

        // A first run takes the space that curves need; the second is looked at where it heats, between the events of soak and melting.
        const int From = 900;
        const int To = 1500;
        foreach (ScanInput scan in scans)
        {
            engine.Advance(scan, events);
        }

        ScanInput[] again = [.. scans.Select(s => new ScanInput(new RawScan(0, s.Time.AddSeconds(Scans * 0.1), s.Scan.Values, s.Scan.Qualities)))];
        for (int i = 0; i < From; i++)
        {
            engine.Advance(again[i], events);
        }

        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int i = From; i < To; i++)
        {
            engine.Advance(again[i], events);
        }

        return (GC.GetAllocatedBytesForCurrentThread() - before) / (double)(To - From);
    }

    private static double Maximum(ScanInput[] scans)
    {
        double highest = double.NegativeInfinity;
        foreach (ScanInput scan in scans)
        {
            foreach (double value in scan.Scan.Values)
            {
                highest = Math.Max(highest, value);
            }
        }

        return highest;
    }

    private static Spec MakeSpec()
    {
        string[] figures = ["peakTemperature", "sustainedPeak", "timeAboveLiquidus", "soakTime", "steepestHeating", "coolingRate", "slopeAtLiquidus", "timeToPeak"];
        string[] common = ["pumpDownTime", "vacuumHold", "peakSpread", "cycleTime"];
        IEnumerable<Limit> limits = Enumerable.Range(0, 36).Select(i => new Limit { Figure = figures[i % figures.Length], Upper = 500 + i });
        return new Spec
        {
            Name = "benchmark",
            Version = 1,
            Alloy = new Alloy("SAC305", 217, 220),
            Soak = new SoakBand(150, 180),
            Vacuum = new VacuumSpec(20, []),
            Limits = [.. limits, .. common.Select(f => new Limit { Figure = f, Upper = 500 })],
        };
    }

    private static CellDefinition MakeCell()
    {
        ChannelDefinition[] channels =
        [
            .. Enumerable.Range(1, Products + 1).Select(i => new ChannelDefinition
            {
                Id = i > Products ? "p" : $"tc{i}",
                Name = i > Products ? "chamber" : $"tc{i}",
                Role = i > Products ? ChannelRole.Pressure : ChannelRole.Product,
                Device = "d",
                Point = $"{i}",
                Conversion = new ChannelConversion { Unit = i > Products ? MeasuredUnit.Millibar : MeasuredUnit.DegreeCelsius },
            }),
        ];
        return new CellDefinition
        {
            Number = 1,
            Name = "benchmark",
            Carriers = ["A"],
            Devices = [new DeviceDefinition("d", "d", TimeSpan.FromMilliseconds(100), [.. channels.Select(c => c.Point)])],
            Channels = channels,
        };
    }

    private static ScanInput[] MakeScans()
    {
        var random = new Random(1);
        (double, double)[] board = [(20, 25), (80, 150), (150, 175), (190, 235), (230, 238), (250, 225), (340, 45)];
        (double, double)[] chamber = [(200, 1005), (214, 8), (226, 6), (230, 1004)];
        return
        [
            .. Enumerable.Range(0, Scans).Select(i =>
            {
                double t = i * 0.1;
                double[] values = [.. Enumerable.Range(0, Products).Select(c => At(t - (c * 0.2), board) + (random.NextDouble() * 0.2)), At(t, chamber) * (1 + (random.NextDouble() * 0.002))];
                return new ScanInput(new RawScan(0, s_start.AddSeconds(t), values, new SignalQuality[Products + 1]));
            }),
        ];
    }

    private static byte[] MakeFile(ScanInput[] scans)
    {
        var text = new StringBuilder("time_s," + string.Join(',', Enumerable.Range(1, Products).Select(i => $"tc{i} [degC]")) + ",p [mbar]\n");
        foreach (ScanInput scan in scans)
        {
            text.Append(CultureInfo.InvariantCulture, $"{scan.Time.SecondsSince(s_start):0.0}");
            foreach (double value in scan.Scan.Values)
            {
                text.Append(CultureInfo.InvariantCulture, $",{value:0.00}");
            }

            text.Append('\n');
        }

        return Encoding.UTF8.GetBytes(text.ToString());
    }

    private static double At(double seconds, (double T, double V)[] points)
    {
        int i = Array.FindIndex(points, p => p.T >= seconds);
        return i == 0 ? points[0].V
            : i < 0 ? points[^1].V
            : points[i - 1].V + ((points[i].V - points[i - 1].V) * (seconds - points[i - 1].T) / (points[i].T - points[i - 1].T));
    }

    private static double[] Measure(Action work, int rounds = Rounds)
    {
        // A service has run for hours: until the compiler has seen what is hot, its own work is measured.
        long warm = Stopwatch.GetTimestamp();
        for (int n = 0; rounds > 1 && (n < 5 || Stopwatch.GetElapsedTime(warm).TotalSeconds < WarmSeconds); n++)
        {
            work();
        }

        return
        [
            .. Enumerable.Range(0, rounds).Select(_ =>
            {
                long started = Stopwatch.GetTimestamp();
                work();
                return Stopwatch.GetElapsedTime(started).TotalSeconds;
            }),
        ];
    }

    private static double Median(double[] values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }

    private static void Line(string name, double value, string unit, double? peer, double? ratio) => Console.WriteLine(string.Join('\t',
        name, value.ToString("G4", CultureInfo.InvariantCulture), unit,
        peer?.ToString("G4", CultureInfo.InvariantCulture) ?? "-", ratio?.ToString("G3", CultureInfo.InvariantCulture) ?? "-"));
}
