using System.Diagnostics;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using ThermoWatch.Tests;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>Topic <c>live</c>: the published service as a process, watched from outside; peer is a bare host with one hub.</summary>
internal static class LiveBenchmarks
{
    private const int Starts = 5;
    private const int Viewers = 10;
    private static readonly TimeSpan Listening = TimeSpan.FromSeconds(15);
    internal static readonly string Root = FindRoot();
    internal static readonly string Published = Environment.GetEnvironmentVariable("THERMOWATCH_PUBLISHED") ?? Path.Combine(Root, "artifacts", "service");

    public static void Run() => RunAsync().GetAwaiter().GetResult();

    private static async Task RunAsync()
    {
        if (!File.Exists(Path.Combine(Published, "thermowatch.dll")))
        {
            await Console.Error.WriteLineAsync($"Publish first: dotnet publish src/ThermoWatch.Service -c Release -o {Published}");
            return;
        }

        int machinePort = FreePorts.Next();
        using Process machine = Start("thermowatch.dll", "simulate", "--port", $"{machinePort}", "--start-at", "150");
        DirectoryInfo folder = Directory.CreateTempSubdirectory("thermowatch-bench-");
        string config = Configure(folder, machinePort);
        try
        {
            double[] ours = new double[Starts], peers = new double[Starts];
            for (int i = 0; i < Starts; i++)
            {
                (ours[i], Process service, _) = await ReadyAsync(port => Start("thermowatch.dll", "serve", "--config", config, "--data", Path.Combine(folder.FullName, $"data{i}"), "--port", $"{port}"));
                End(service);
                (peers[i], Process bare, _) = await ReadyAsync(StartBare);
                End(bare);
            }

            Figures.Less("ready after start, median of 5", ours.At(0.5), "ms", peers.At(0.5));
            await WatchedAsync(config, folder);
        }
        finally
        {
            End(machine);
            folder.Delete(recursive: true);
        }
    }

    private static async Task WatchedAsync(string config, DirectoryInfo folder)
    {
        (_, Process bare, int barePort) = await ReadyAsync(StartBare);
        (_, Process service, int port) = await ReadyAsync(p => Start("thermowatch.dll", "serve", "--config", config, "--data", Path.Combine(folder.FullName, "data"), "--port", $"{p}"));
        try
        {
            (double p50, double p99) = await LatencyAsync(port, Viewers, ours: true);
            Figures.Less("sample to client callback, 10 .NET viewers, p50", p50, "ms");
            Figures.Less("sample to client callback, 10 .NET viewers, p99", p99, "ms");
            await InBrowserAsync(port);
            Figures.Less("resident with ten viewers", Resident(service), "MB", Resident(bare));
            byte[] watch = WatchMessage();
            List<int> plain = await WireMeter.ListenAsync(port, """{"protocol":"messagepack","version":1}""", watch, deflate: false, Listening);
            List<int> deflated = await WireMeter.ListenAsync(port, """{"protocol":"messagepack","version":1}""", watch, deflate: true, Listening);
            List<int> peer = await WireMeter.ListenAsync(barePort, """{"protocol":"json","version":1}""", [], deflate: false, Listening);
            double objects = OfAFrame(peer);
            Figures.Less("frame of 16 channels on the wire, bare", OfAFrame(plain), "B", objects);
            Figures.Less("frame of 16 channels on the wire, as browsers get it", OfAFrame(deflated), "B", objects);
        }
        finally
        {
            End(service);
            End(bare);
        }

        // Frames come ten times a second and states at most four, in pieces that are longer: the lower quartile is a frame.
        static double OfAFrame(List<int> sizes) => sizes.Select(s => (double)s).ToArray().At(0.25);
    }

    /// <summary>Topic <c>live-latency</c>: how late a hundred viewers see a sample, beside a hub that sends JSON objects; the viewers' own work is in it.</summary>
    public static void RunLatency() => RunLatencyAsync().GetAwaiter().GetResult();

    private static async Task RunLatencyAsync()
    {
        int machinePort = FreePorts.Next();
        using Process machine = Start("thermowatch.dll", "simulate", "--port", $"{machinePort}", "--start-at", "150");
        DirectoryInfo folder = Directory.CreateTempSubdirectory("thermowatch-bench-");
        string config = Configure(folder, machinePort);
        (_, Process bare, int barePort) = await ReadyAsync(StartBare);
        (_, Process service, int port) = await ReadyAsync(p => Start("thermowatch.dll", "serve", "--config", config, "--data", Path.Combine(folder.FullName, "data"), "--port", $"{p}"));
        try
        {
            (double bareP50, double bareP99) = await LatencyAsync(barePort, 100, ours: false);
            (double p50, double p99) = await LatencyAsync(port, 100, ours: true);
            Figures.Less("sample to client callback, 100 .NET viewers, p50, beside JSON objects", p50, "ms", bareP50);
            Figures.Less("sample to client callback, 100 .NET viewers, p99, beside JSON objects", p99, "ms", bareP99);
        }
        finally
        {
            End(service);
            End(bare);
            End(machine);
            folder.Delete(recursive: true);
        }
    }

    private static async Task<(double P50, double P99)> LatencyAsync(int port, int count, bool ours)
    {
        List<double> delays = [];
        List<HubConnection> viewers = [];
        void Seen(double t)
        {
            double delay = Clock.UnixMilliseconds() - t;
            lock (delays)
            {
                delays.Add(delay);
            }
        }

        for (int i = 0; i < count; i++)
        {
            IHubConnectionBuilder builder = new HubConnectionBuilder().WithUrl($"http://localhost:{port}/hubs/live");
            HubConnection viewer = (ours ? builder.AddMessagePackProtocol() : builder).Build();
            viewers.Add(viewer);
            if (ours)
            {
                viewer.On<int, long, double, byte[]>("scan", (_, _, t, _) => Seen(t));
                await viewer.StartAsync();
                await viewer.InvokeAsync<object>("follow", 1);
            }
            else
            {
                viewer.On<BareHost.Value[]>("scan", values => Seen(values[0].T));
                await viewer.StartAsync();
            }
        }

        await Task.Delay(TimeSpan.FromSeconds(5)); // code that is used for the first time is compiled first
        lock (delays)
        {
            delays.Clear();
        }

        await Task.Delay(Listening);
        double[] seen;
        lock (delays)
        {
            seen = [.. delays];
        }

        foreach (HubConnection viewer in viewers)
        {
            await viewer.DisposeAsync();
        }

        return (seen.At(0.5), seen.At(0.99));
    }

    /// <summary>The whole way to the pixels, in a real browser; left out where Node or Chromium is missing.</summary>
    private static async Task InBrowserAsync(int port)
    {
        using Process node = Process.Start(new ProcessStartInfo("node", ["tests/service/latency.mjs", $"http://localhost:{port}", "20"])
        {
            WorkingDirectory = Path.Combine(Root, "dashboards"),
            RedirectStandardOutput = true,
        })!;
        string[] ages = (await node.StandardOutput.ReadToEndAsync()).Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
        await node.WaitForExitAsync();
        if (node.ExitCode == 0 && ages.Length == 2)
        {
            Figures.Less("sample to drawn in a browser, p50", double.Parse(ages[0], System.Globalization.CultureInfo.InvariantCulture), "ms");
            Figures.Less("sample to drawn in a browser, p99", double.Parse(ages[1], System.Globalization.CultureInfo.InvariantCulture), "ms");
        }
    }

    /// <summary>A complete MessagePack hub invocation: watch(1). [1, {}, nil, "watch", [1], []], with its length before it.</summary>
    private static byte[] WatchMessage() => [13, 0x96, 1, 0x80, 0xC0, 0xA5, (byte)'w', (byte)'a', (byte)'t', (byte)'c', (byte)'h', 0x91, 1, 0x90];

    internal static async Task<(double Milliseconds, Process Process, int Port)> ReadyAsync(Func<int, Process> start)
    {
        int port = FreePorts.Next();
        long begun = Stopwatch.GetTimestamp();
        Process process = start(port);
        using var http = new HttpClient();
        while (true)
        {
            try
            {
                using HttpResponseMessage answer = await http.GetAsync(new Uri($"http://localhost:{port}/healthz/ready"));
                if (answer.IsSuccessStatusCode)
                {
                    return (Stopwatch.GetElapsedTime(begun).TotalMilliseconds, process, port);
                }
            }
            catch (HttpRequestException) when (!process.HasExited)
            {
                await Task.Delay(5);
            }
        }
    }

    internal static Process StartBare(int port) => StartDotnet(typeof(LiveBenchmarks).Assembly.Location, BareHost.Verb, $"{port}");

    internal static Process Start(string assembly, params string[] arguments) => StartDotnet(Path.Combine(Published, assembly), arguments);

    private static Process StartDotnet(string assembly, params string[] arguments) =>
        Process.Start(new ProcessStartInfo("dotnet", [assembly, .. arguments]) { RedirectStandardOutput = true })!;

    internal static void End(Process process)
    {
        process.Kill();
        process.WaitForExit();
        process.Dispose();
    }

    private static double Resident(Process process)
    {
        process.Refresh();
        return process.WorkingSet64 / 1e6;
    }

    /// <summary>The demo's configuration with four channels more, so that a frame has sixteen.</summary>
    internal static string Configure(DirectoryInfo folder, int machinePort)
    {
        string demo = Path.Combine(Root, "src", "ThermoWatch.Service", "Demo");
        JsonNode json = JsonNode.Parse(File.ReadAllText(Path.Combine(demo, "thermowatch.json")))!;
        JsonNode cell = json["cells"]![0]!;
        cell["devices"]![0]!["port"] = machinePort;
        JsonArray channels = cell["channels"]!.AsArray();
        for (int i = 0; i < 4; i++)
        {
            JsonNode more = channels[i]!.DeepClone();
            more["id"] = $"more{i}";
            more["role"] = "auxiliary";
            channels.Add(more);
        }

        File.Copy(Path.Combine(demo, "traction-board.spec.json"), Path.Combine(folder.FullName, "traction-board.spec.json"));
        File.Copy(Path.Combine(demo, "gate-driver.spec.json"), Path.Combine(folder.FullName, "gate-driver.spec.json"));
        string path = Path.Combine(folder.FullName, "thermowatch.json");
        File.WriteAllText(path, json.ToJsonString());
        return path;
    }

    private static string FindRoot()
    {
        DirectoryInfo? folder = new(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "ThermoWatch.sln")))
        {
            folder = folder.Parent;
        }

        return folder?.FullName ?? throw new DirectoryNotFoundException("ThermoWatch.sln is not above the program's folder.");
    }
}
