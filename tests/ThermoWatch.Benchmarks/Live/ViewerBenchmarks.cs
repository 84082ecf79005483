using System.Diagnostics;
using System.Globalization;
using System.Net.Sockets;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using ThermoWatch.Tests;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>
/// Topic <c>live-viewers</c>: what a viewer costs the published service, beside a hub that sends JSON objects and a plain
/// WebSocket; and what viewers that have stalled cost it.
/// </summary>
internal static class ViewerBenchmarks
{
    private const double FramesASecond = 10;
    private const int Watching = 40;
    private const int Stalled = 10;
    /// <summary>How fast the stalled viewers' hour goes by.</summary>
    private const int Speed = 60;
    private const string Json = """{"protocol":"json","version":1}""";
    private const string Packed = """{"protocol":"messagepack","version":1}""";
    private const int Rounds = 3;
    /// <summary>A complete MessagePack hub ping: [6].</summary>
    private static readonly byte[] PingMessage = [2, 0x91, 6];
    private static readonly TimeSpan Settling = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan Measuring = TimeSpan.FromSeconds(3);
    private static readonly int[] Counts = [.. (Environment.GetEnvironmentVariable("THERMOWATCH_VIEWERS") ?? "100,500").Split(',').Select(int.Parse)];

    public static void Run() => RunAsync().GetAwaiter().GetResult();

    /// <summary>Only what stalled viewers cost, for an hour of readings at sixty times the speed.</summary>
    public static void RunStalled() => StalledHourAsync().GetAwaiter().GetResult();

    private static async Task RunAsync()
    {
        Console.WriteLine($"# one cell of 16 channels at {FramesASecond} Hz; ours: frames and changes of the state; peers in one bare host: a hub with a JSON object a reading, a plain WebSocket with packed bytes; processor time less that without viewers, median of {Rounds} rounds in turn; clients in another process of the same computer");
        int machinePort = FreePorts.Next();
        using Process machine = LiveBenchmarks.Start("thermowatch.dll", "simulate", "--port", $"{machinePort}", "--start-at", "150");
        DirectoryInfo folder = Directory.CreateTempSubdirectory("thermowatch-bench-");
        string config = LiveBenchmarks.Configure(folder, machinePort);
        (_, Process service, int port) = await LiveBenchmarks.ReadyAsync(p =>
            LiveBenchmarks.Start("thermowatch.dll", "serve", "--config", config, "--data", Path.Combine(folder.FullName, "data"), "--port", $"{p}"));
        (_, Process bare, int barePort) = await LiveBenchmarks.ReadyAsync(LiveBenchmarks.StartBare);
        try
        {
            Watched[] kinds =
            [
                new(service, port, Packed, FollowMessage(), Deflate: false),
                new(service, port, Packed, FollowMessage(), Deflate: true),
                new(bare, barePort, Json, [], Deflate: false),
                new(bare, barePort, "", [], Deflate: false),
            ];
            foreach (Watched kind in kinds)
            {
                await CostAsync(kind, 200, 0); // a service that has just started still compiles, and so does what only viewers need
            }

            foreach (int viewers in Counts)
            {
                List<double>[] costs = [.. kinds.Select(_ => new List<double>())];
                for (int round = 0; round < Rounds; round++)
                {
                    await Task.Delay(Settling); // connections that end cost something too
                    double[] idle = await Task.WhenAll(CoresAsync(service), CoresAsync(bare));
                    for (int i = 0; i < kinds.Length; i++)
                    {
                        costs[i].Add(await CostAsync(kinds[i], viewers, kinds[i].Process == service ? idle[0] : idle[1]));
                    }
                }

                double[] cost = [.. costs.Select(c => c.ToArray().At(0.5))];
                Figures.Less($"service CPU a viewer and frame, {viewers} viewers, beside JSON objects", cost[0], "us", cost[2]);
                Figures.Less($"service CPU a viewer and frame, {viewers} viewers, beside a plain WebSocket", cost[0], "us", cost[3]);
                Figures.Less($"the same as browsers ask for it, compressed where long, {viewers} viewers, beside JSON objects", cost[1], "us", cost[2]);
            }

            await StalledNowAsync(port);
        }
        finally
        {
            LiveBenchmarks.End(service);
            LiveBenchmarks.End(bare);
            LiveBenchmarks.End(machine);
            folder.Delete(recursive: true);
        }
    }

    /// <summary>Processor time of a process in s per s.</summary>
    private static async Task<double> CoresAsync(Process process)
    {
        await Task.Delay(Settling);
        process.Refresh();
        TimeSpan before = process.TotalProcessorTime;
        long begun = Stopwatch.GetTimestamp();
        await Task.Delay(Measuring);
        process.Refresh();
        return (process.TotalProcessorTime - before) / Stopwatch.GetElapsedTime(begun);
    }

    /// <summary>What a viewer and frame cost, in microseconds.</summary>
    private static async Task<double> CostAsync(Watched watched, int viewers, double idle)
    {
        using var end = new CancellationTokenSource();
        List<TcpClient> clients = [];
        for (int i = 0; i < viewers; i++)
        {
            clients.Add(await WireMeter.OpenAsync(watched.Port, watched.Handshake, watched.Watch, watched.Deflate));
        }

        Task<List<int>>[] listening = [.. clients.Select(c => WireMeter.ListenAsync(c, end.Token))];
        double cores = await CoresAsync(watched.Process);
        await end.CancelAsync();
        List<int>[] heard = await Task.WhenAll(listening);
        clients.ForEach(c => c.Dispose());
        if (heard.Any(sizes => sizes.Count < FramesASecond * Measuring.TotalSeconds))
        {
            throw new InvalidOperationException("A viewer heard fewer frames than were to be sent; the figure would be worth nothing.");
        }

        return (cores - idle) / (viewers * FramesASecond) * 1e6;
    }

    /// <summary>At the machine's own speed: does the machine wait for viewers that do not read?</summary>
    private static async Task StalledNowAsync(int port)
    {
        await using HubConnection watcher = new HubConnectionBuilder().WithUrl($"http://localhost:{port}/hubs/live").AddMessagePackProtocol().Build();
        List<double> times = [];
        watcher.On<int, long, double, byte[]>("scan", (_, _, t, _) => times.Add(t));
        using Crowd crowd = await Crowd.OpenAsync(port);
        await watcher.StartAsync();
        await watcher.InvokeAsync<object>("watch", 1);
        double missedBefore = await MetricAsync(port, "thermowatch_device_missed_polls_total");
        await Task.Delay(TimeSpan.FromSeconds(15));
        double missed = await MetricAsync(port, "thermowatch_device_missed_polls_total") - missedBefore;
        await watcher.StopAsync();
        crowd.MustStillBeThere();
        double[] gaps = [.. times.Zip(times.Skip(1), (a, b) => b - a)];
        Figures.Less($"polls missed, {Watching} viewers and {Stalled} stalled, 15 s", missed, "1");
        Figures.Less($"longest wait between two polls of 100 ms, {Watching} viewers and {Stalled} stalled", gaps.Max(), "ms");
    }

    private static async Task StalledHourAsync()
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("thermowatch-bench-");
        (_, Process service, int port) = await LiveBenchmarks.ReadyAsync(p =>
            LiveBenchmarks.Start("thermowatch.dll", "demo", "--speed", $"{Speed}", "--port", $"{p}", "--data", Path.Combine(folder.FullName, "data")));
        try
        {
            long scans = 0;
            await using HubConnection watcher = new HubConnectionBuilder().WithUrl($"http://localhost:{port}/hubs/live").AddMessagePackProtocol().Build();
            double first = 0, last = 0;
            watcher.On<int, long, double, byte[]>("scan", (_, _, t, _) =>
            {
                first = first == 0 ? t : first;
                last = t;
                scans++;
            });
            using Crowd crowd = await Crowd.OpenAsync(port);
            await watcher.StartAsync();
            await watcher.InvokeAsync<object>("watch", 1);
            await Task.Delay(TimeSpan.FromSeconds(20)); // pools and caches fill
            List<double> heap = [], resident = [];
            long begun = Stopwatch.GetTimestamp();
            while ((last - first) / 1000 < 3600 && Stopwatch.GetElapsedTime(begun) < TimeSpan.FromSeconds(75))
            {
                heap.Add(await MetricAsync(port, "dotnet_gc_heap_bytes") / 1e6);
                resident.Add(await MetricAsync(port, "process_resident_memory_bytes") / 1e6);
                await Task.Delay(250);
            }

            crowd.MustStillBeThere();
            int third = heap.Count / 3;
            Console.WriteLine($"# demo at {Speed} times its speed, {Watching} viewers and {Stalled} that never read: {(last - first) / 1000:0} s of the cell, {scans} scans reached a viewer; memory: least of the last third less least of the first");
            Figures.Less("managed memory gained with stalled viewers", heap[^third..].Min() - heap[..third].Min(), "MB");
            Figures.Less("resident memory gained with stalled viewers", resident[^third..].Min() - resident[..third].Min(), "MB");
        }
        finally
        {
            LiveBenchmarks.End(service);
            folder.Delete(recursive: true);
        }
    }

    private static async Task<double> MetricAsync(int port, string name)
    {
        using var http = new HttpClient();
        string text = await http.GetStringAsync(new Uri($"http://localhost:{port}/metrics"));
        return text.Split('\n').Where(line => line.StartsWith(name, StringComparison.Ordinal)).Sum(line => double.Parse(line[(line.LastIndexOf(' ') + 1)..], CultureInfo.InvariantCulture));
    }

    /// <summary>A complete MessagePack hub invocation: follow(1), with an answer asked for by number.</summary>
    private static byte[] FollowMessage() => [15, 0x96, 1, 0x80, 0xA1, (byte)'1', 0xA6, (byte)'f', (byte)'o', (byte)'l', (byte)'l', (byte)'o', (byte)'w', 0x91, 1, 0x90];

    /// <summary>What is watched, and how.</summary>
    private sealed record Watched(Process Process, int Port, string Handshake, byte[] Watch, bool Deflate);

    /// <summary>Viewers, most of which read what they are sent.</summary>
    private sealed class Crowd : IDisposable
    {
        private static readonly TimeSpan SayingSo = TimeSpan.FromSeconds(5);
        private readonly List<TcpClient> _clients = [];
        private readonly List<Task> _listening = [];
        private readonly CancellationTokenSource _end = new();

        public static async Task<Crowd> OpenAsync(int port)
        {
            var crowd = new Crowd();
            for (int i = 0; i < Watching + Stalled; i++)
            {
                TcpClient client = await WireMeter.OpenAsync(port, Packed, FollowMessage(), deflate: true);
                crowd._clients.Add(client);
                if (i < Watching)
                {
                    crowd._listening.Add(WireMeter.ListenAsync(client, crowd._end.Token));
                }
            }

            _ = crowd.StayAsync();
            return crowd;
        }

        /// <summary>A crowd that has been thrown out costs nothing, and would show nothing.</summary>
        public void MustStillBeThere()
        {
            if (_listening.Any(t => t.IsCompleted))
            {
                throw new InvalidOperationException("The service ended connections of viewers that read; the figure would be worth nothing.");
            }
        }

        /// <summary>All of them say that they are there, as the hub wants it: also those that do not read, which is the worst that a page can do.</summary>
        private async Task StayAsync()
        {
            using var timer = new PeriodicTimer(SayingSo);
            while (await timer.WaitForNextTickAsync(_end.Token))
            {
                foreach (TcpClient client in _clients)
                {
                    try
                    {
                        await WireMeter.SayAsync(client, PingMessage);
                    }
                    catch (IOException)
                    {
                        // One that stalls may be thrown out in the end.
                    }
                }
            }
        }

        public void Dispose()
        {
            _end.Cancel();
            _clients.ForEach(c => c.Dispose());
            _end.Dispose();
        }
    }
}
