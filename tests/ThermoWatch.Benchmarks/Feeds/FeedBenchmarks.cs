using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using InfluxDB.Client;
using InfluxDB.Client.Api.Domain;
using InfluxDB.Client.Writes;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Feeds.Influx;
using ThermoWatch.Feeds.Mqtt;
using File = System.IO.File;

namespace ThermoWatch.Benchmarks.Feeds;

/// <summary>Topic "feeds": how fast a backlog leaves, and what it costs, beside libraries and programs that do the same.</summary>
internal static class FeedBenchmarks
{
    private const int Channels = 16, BatchScans = 312; // 4992 points a request, for everybody
    private const int Points = 1_000_000;
    private static readonly DateTimeOffset s_start = new(2025, 1, 1, 0, 0, 0, TimeSpan.Zero);

    public static void Run()
    {
        if (Find("victoria-metrics") is { } victoria)
        {
            Databases(victoria).GetAwaiter().GetResult();
        }
        else
        {
            Console.WriteLine("# victoria-metrics is not installed: no figures of databases");
        }

        if (Find("mosquitto") is { } mosquitto && Find("mosquitto_pub") is { } publisher)
        {
            Brokers(mosquitto, publisher).GetAwaiter().GetResult();
        }
        else
        {
            Console.WriteLine("# mosquitto and mosquitto_pub are not installed: no figures of brokers");
        }
    }

    private static async Task Databases(string program)
    {
        int port = FreePort();
        string folder = Directory.CreateTempSubdirectory("bench").FullName;
        using Process server = Start(program, $"-storageDataPath={folder}", $"-httpListenAddr=127.0.0.1:{port}", "-retentionPeriod=100y");
        try
        {
            await Listening(port);
            Console.WriteLine($"# peers: VictoriaMetrics with its defaults on loopback; InfluxDB.Client with PointData, awaited WritePointsAsync, {BatchScans * Channels} points a call, nanoseconds; one value field and three tags a point");
            var url = new Uri($"http://127.0.0.1:{port}");
            var names = new LineNames { Quality = null };
            foreach (bool gzip in (bool[])[false, true])
            {
                LineServer to = new(url, 2, "bench") { Organisation = "bench", Gzip = gzip, Precision = LinePrecision.Nanoseconds };
                string encoding = gzip ? "gzip" : "plain";
                (double Rate, double Cpu) peer = default, client = default, ours = default;
                for (int round = 0; round < 2; round++) // the second counts: everything is compiled and connected
                {
                    peer = await PeerAsync(url, gzip, round == 0 ? 100_000 : Points / 2);
                    client = await OursAsync(new ClientLineSender(to), names, round == 0 ? 100_000 : Points);
                    ours = await OursAsync(new HttpLineSender(to), names, round == 0 ? 100_000 : Points);
                }

                Figures.More($"backfill by line protocol, {encoding}", ours.Rate, "points/s", peer.Rate);
                Figures.More($"the same lines by InfluxDB.Client's record call, {encoding}", client.Rate, "points/s", peer.Rate);
                Figures.Less($"client CPU a point, {encoding}", ours.Cpu, "us", peer.Cpu);
                Figures.Less($"the same lines by InfluxDB.Client's record call, CPU a point, {encoding}", client.Cpu, "us", peer.Cpu);
            }
        }
        finally
        {
            server.Kill();
            await server.WaitForExitAsync();
            Directory.Delete(folder, recursive: true);
        }
    }

    private static async Task<(double Rate, double Cpu)> OursAsync(ILineSender sender, LineNames names, int points)
    {
        await using var target = new InfluxTarget(sender, names, LinePrecision.Nanoseconds);
        CellDefinition cell = Cell();
        int[] channels = [.. Enumerable.Range(0, Channels)];
        var meter = new Meter();
        for (int scan = 0; scan < points / Channels; scan += BatchScans)
        {
            var items = new FeedItem[BatchScans];
            for (int i = 0; i < items.Length; i++)
            {
                items[i] = Scan(cell, channels, scan + i);
            }

            Delivery delivery = await target.DeliverAsync(new FeedBatch("cell-1", items, scan + BatchScans), CancellationToken.None);
            if (delivery.Outcome != DeliveryOutcome.Delivered)
            {
                throw new InvalidOperationException(delivery.Words);
            }
        }

        return meter.Stop(points);
    }

    private static async Task<(double Rate, double Cpu)> PeerAsync(Uri url, bool gzip, int points)
    {
        using var client = new InfluxDBClient(new InfluxDBClientOptions(url.AbsoluteUri));
        if (gzip)
        {
            client.EnableGzip();
        }

        WriteApiAsync write = client.GetWriteApiAsync();
        var meter = new Meter();
        for (int scan = 0; scan < points / Channels; scan += BatchScans)
        {
            List<PointData> batch = new(BatchScans * Channels);
            for (int i = 0; i < BatchScans; i++)
            {
                for (int channel = 0; channel < Channels; channel++)
                {
                    batch.Add(PointData.Measurement("temperature").Tag("cell", "1").Tag("channel", "tc" + (channel + 1).ToString(CultureInfo.InvariantCulture)).Tag("role", "product")
                        .Field("value", Value(scan + i, channel)).Timestamp(s_start.AddMilliseconds((scan + i) * 100L), WritePrecision.Ns));
                }
            }

            await write.WritePointsAsync(batch, "bench", "bench");
        }

        return meter.Stop(points);
    }

    private static async Task Brokers(string program, string publisher)
    {
        int port = FreePort();
        string folder = Directory.CreateTempSubdirectory("bench").FullName;
        string file = Path.Combine(folder, "mosquitto.conf");
        File.WriteAllText(file, $"user root\nlistener {port} 127.0.0.1\nallow_anonymous true\n");
        using Process server = Start(program, "-c", file);
        try
        {
            await Listening(port);
            Console.WriteLine("# peer: mosquitto_pub -l -q 1, one process, one reading a line; Eclipse Mosquitto with its defaults on loopback");
            const int Messages = 40_000;
            string reading = """{"t":"2025-01-01T00:00:00.0000000Z","channel":"tc1","value":231.25}""";
            var clock = Stopwatch.StartNew();
            using (Process pub = Start(publisher, input: true, "-h", "127.0.0.1", "-p", port.ToString(CultureInfo.InvariantCulture), "-t", "bench", "-q", "1", "-l"))
            {
                for (int i = 0; i < Messages; i++)
                {
                    await pub.StandardInput.WriteLineAsync(reading);
                }

                pub.StandardInput.Close();
                await pub.WaitForExitAsync();
            }

            double peer = Messages / clock.Elapsed.TotalSeconds;
            await using var link = new BrokerLink(new Broker("127.0.0.1", port) { Window = 16 });
            if (await link.ConnectAsync(new BrokerMessage("bench/status", [0], false, 0), CancellationToken.None) is { } trouble)
            {
                throw new InvalidOperationException(trouble.Words);
            }

            byte[] payload = System.Text.Encoding.UTF8.GetBytes(reading);
            BrokerMessage[] batch = [.. Enumerable.Repeat(new BrokerMessage("bench", payload, false, 1), Messages / 2)];
            await link.PublishAsync(batch[..2000], CancellationToken.None);
            clock.Restart();
            await link.PublishAsync(batch, CancellationToken.None);
            Figures.More("MQTT messages, quality 1, window of 16", batch.Length / clock.Elapsed.TotalSeconds, "messages/s", peer);

            await using var target = new MqttTarget(new Broker("127.0.0.1", port) { ClientId = "readings" }, "bench");
            CellDefinition cell = Cell();
            int[] channels = [.. Enumerable.Range(0, Channels)];
            double rate = 0;
            for (int round = 0; round < 2; round++)
            {
                var meter = new Meter();
                int points = round == 0 ? 100_000 : 1_000_000;
                for (int scan = 0; scan < points / Channels; scan += BatchScans)
                {
                    await target.DeliverAsync(new FeedBatch("cell-1", [.. Enumerable.Range(scan, BatchScans).Select(n => Scan(cell, channels, n))], scan + BatchScans), CancellationToken.None);
                }

                (rate, _) = meter.Stop(points);
            }

            Figures.More("MQTT readings, quality 1, many in a message", rate, "readings/s", peer);
        }
        finally
        {
            server.Kill();
            await server.WaitForExitAsync();
            Directory.Delete(folder, recursive: true);
        }
    }

    private static CellDefinition Cell() => new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("logger", "Logger", TimeSpan.FromMilliseconds(100), [.. Enumerable.Range(1, Channels).Select(i => $"p{i}")])],
        Channels = [.. Enumerable.Range(1, Channels).Select(i => new ChannelDefinition
        {
            Id = $"tc{i}",
            Name = $"Joint {i}",
            Role = ChannelRole.Product,
            Carrier = "A",
            Device = "logger",
            Point = $"p{i}",
            Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
        })],
    };

    private static ScanItem Scan(CellDefinition cell, int[] channels, int number)
    {
        var time = Timestamp.From(s_start.AddMilliseconds(number * 100L));
        var readings = new Reading[channels.Length];
        for (int i = 0; i < readings.Length; i++)
        {
            readings[i] = new Reading(time, Value(number, i), SignalQuality.Good);
        }

        return new ScanItem(cell, number + 1, time, channels, readings);
    }

    /// <summary>As a converted thermocouple gives it: all the digits of a double.</summary>
    private static double Value(int scan, int channel) => 150 + (100 * Math.Sin((scan * 0.001) + (channel * 0.1)));

    private static string? Find(string name) =>
        (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Append("/usr/bin").Append("/usr/sbin").Select(f => Path.Combine(f, name)).FirstOrDefault(File.Exists);

    private static Process Start(string program, params string[] arguments) => Start(program, input: false, arguments);

    private static Process Start(string program, bool input, params string[] arguments)
    {
        var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true, RedirectStandardOutput = true, RedirectStandardInput = input })!;
        process.OutputDataReceived += (_, _) => { };
        process.ErrorDataReceived += (_, _) => { };
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        return process;
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    private static async Task Listening(int port)
    {
        for (int attempt = 0; ; attempt++)
        {
            try
            {
                using var client = new TcpClient();
                await client.ConnectAsync(IPAddress.Loopback, port);
                return;
            }
            catch (SocketException) when (attempt < 200)
            {
                await Task.Delay(50);
            }
        }
    }

    /// <summary>Time and processor time of this process.</summary>
    private sealed class Meter
    {
        private readonly Stopwatch _clock = Stopwatch.StartNew();
        private readonly TimeSpan _cpu = Process.GetCurrentProcess().TotalProcessorTime;

        public (double Rate, double Cpu) Stop(int points) => (
            points / _clock.Elapsed.TotalSeconds, (Process.GetCurrentProcess().TotalProcessorTime - _cpu).TotalMicroseconds / points);
    }
}
