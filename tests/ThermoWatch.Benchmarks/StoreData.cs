using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Benchmarks;

/// <summary>
/// Six-minute runs of 16 channels at 10 Hz, four minutes apart: 15 temperatures in steps of 0.01 degC with 0.03 degC of white noise,
/// one pressure in steps of a thousandth of a decade, as counts. Each scan has one time, with 0 to 2 ms of jitter in steps of
/// 1 ms or of 100 ns.
/// </summary>
internal sealed class StoreData
{
    public const int Channels = 16, ScansPerRun = 3600, RunSeconds = 360, CycleSeconds = 600;

    public StoreData(int runs, bool inMilliseconds)
    {
        Runs = runs;
        Times = new long[runs * ScansPerRun];
        Counts = new int[Channels][];
        for (int channel = 0; channel < Channels; channel++)
        {
            Counts[channel] = new int[Times.Length];
        }

        var random = new Random(12345);
        long start = new DateTimeOffset(2026, 1, 5, 0, 0, 0, TimeSpan.Zero).UtcTicks;
        for (int run = 0; run < runs; run++)
        {
            Fill(random, run, start + run * CycleSeconds * TimeSpan.TicksPerSecond, inMilliseconds);
        }
    }

    public int Runs { get; }

    /// <summary>UTC ticks of each scan.</summary>
    public long[] Times { get; }

    /// <summary>Counts, channel by channel.</summary>
    public int[][] Counts { get; }

    public long Readings => (long)Times.Length * Channels;

    public CellDefinition Cell { get; } = new()
    {
        Number = 1,
        Name = "bench",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("d", "device", TimeSpan.FromMilliseconds(100), [.. Enumerable.Range(0, Channels).Select(i => $"p{i}")])],
        Channels =
        [
            .. Enumerable.Range(0, Channels).Select(i => new ChannelDefinition
            {
                Id = $"c{i}", Name = $"Channel {i}", Role = i < Channels - 1 ? ChannelRole.Product : ChannelRole.Pressure, Device = "d", Point = $"p{i}",
                Conversion = new ChannelConversion { Unit = i < Channels - 1 ? MeasuredUnit.DegreeCelsius : MeasuredUnit.Millibar, Scale = 0.01 },
            }),
        ],
    };

    /// <summary>The scans as drivers would hand them over.</summary>
    public EngineInput[] Scans(int run)
    {
        var qualities = new SignalQuality[Channels];
        var scans = new EngineInput[ScansPerRun];
        for (int i = 0; i < scans.Length; i++)
        {
            int scan = run * ScansPerRun + i;
            var values = new double[Channels];
            for (int channel = 0; channel < Channels; channel++)
            {
                values[channel] = Counts[channel][scan];
            }

            scans[i] = new ScanInput(new RawScan(0, new Timestamp(Times[scan]), values, qualities));
        }

        return scans;
    }

    private void Fill(Random random, int run, long start, bool inMilliseconds)
    {
        double peak = 235 + 20 * random.NextDouble(), soak = 150 + 30 * random.NextDouble(), pressure = 3.0056, floor = -2.5 + random.NextDouble();
        var lag = new double[Channels];
        var joint = new double[Channels];
        for (int channel = 0; channel < Channels; channel++)
        {
            (lag[channel], joint[channel]) = (4 + 12 * random.NextDouble(), 24 + 3 * random.NextDouble());
        }

        for (int i = 0; i < ScansPerRun; i++)
        {
            int scan = run * ScansPerRun + i;
            double second = i * 0.1;
            long jitter = inMilliseconds ? random.Next(3) * TimeSpan.TicksPerMillisecond : random.Next(20_001);
            Times[scan] = start + i * TimeSpan.TicksPerSecond / 10 + jitter;
            double wanted = second < 90 ? 25 + (soak - 25) * second / 90
                : second < 170 ? soak + 20 * (second - 90) / 80
                : second < 220 ? soak + 20 + (peak - soak - 20) * (second - 170) / 50
                : second < 240 ? peak : Math.Max(40, peak - 2.2 * (second - 240));
            for (int channel = 0; channel < Channels - 1; channel++)
            {
                joint[channel] += (wanted * (1 - 0.003 * channel) - joint[channel]) * 0.1 / lag[channel];
                Counts[channel][scan] = (int)Math.Round((joint[channel] + 0.03 * Gauss(random)) * 100);
            }

            pressure += ((second < 200 ? floor : 3.0) - pressure) * (second < 200 ? 0.004 : 0.02);
            Counts[Channels - 1][scan] = (int)Math.Round((pressure + 0.002 * Gauss(random)) * 1000);
        }
    }

    private static double Gauss(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
