using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Benchmarks;

/// <summary>An hour of 512 channels at 10 Hz, as fast as it goes in: what the journal holds in memory must not grow with it.</summary>
internal static class StoreMemory
{
    private const int Devices = 32, Points = 16, Minutes = 60, ScansPerMinute = 600;

    public static void Measure(string folder)
    {
        var cell = new CellDefinition
        {
            Number = 1,
            Name = "bench",
            Carriers = ["A"],
            Devices = [.. Enumerable.Range(0, Devices).Select(d => new DeviceDefinition($"d{d}", "device", TimeSpan.FromMilliseconds(100), [.. Enumerable.Range(0, Points).Select(p => $"p{p}")]))],
            Channels = [],
        };
        var qualities = new SignalQuality[Points];
        var random = new Random(1);
        var batch = new EngineInput[Devices];
        using CellJournal journal = CellJournal.Open(folder, cell, TimeProvider.System);
        List<double> held = [];
        for (int minute = 1; minute <= Minutes; minute++)
        {
            for (int scan = 0; scan < ScansPerMinute; scan++)
            {
                long ticks = ((minute * (long)ScansPerMinute) + scan) * TimeSpan.TicksPerSecond / 10;
                for (int device = 0; device < Devices; device++)
                {
                    var values = new double[Points];
                    for (int point = 0; point < Points; point++)
                    {
                        values[point] = 2000 + (point * 100) + random.Next(8);
                    }

                    batch[device] = new ScanInput(new RawScan(device, new Timestamp(ticks), values, qualities));
                }

                StoreBenchmarks.Expect(journal.AppendBatch(batch) > 0, "the batch was recorded");
            }

            journal.SealClosed(); // in step with the recording, which goes a thousand times as fast as in life
            if (minute % 10 == 0)
            {
                GC.Collect(2, GCCollectionMode.Forced, blocking: true, compacting: true);
                held.Add(GC.GetTotalMemory(forceFullCollection: true) / 1e6);
            }
        }

        Console.WriteLine("# MB held after each ten minutes: " + string.Join(' ', held.Select(mb => mb.ToString("F2", CultureInfo.InvariantCulture))));
        Figures.Less("memory held after 20 minutes of 512 channels at 10 Hz (accelerated)", held[1], "MB");
        Figures.Less("memory held after 60 minutes of it (accelerated)", held[^1], "MB");
    }
}
