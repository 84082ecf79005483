using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using ThermoWatch.Tests;

namespace ThermoWatch.Benchmarks.Feeds;

/// <summary>A program to feed, or to compare with: on loopback, in a folder of its own, ended with the measurement.</summary>
internal sealed class FeedPeer : IAsyncDisposable
{
    private readonly Process _process;

    private FeedPeer(Process process, string folder, int port) => (_process, Folder, Port) = (process, folder, port);

    public string Folder { get; }

    public int Port { get; }

    public string PortText => Port.ToString(CultureInfo.InvariantCulture);

    /// <summary>Path of an installed program; null, and a line that says so, where it is missing.</summary>
    public static string? Find(string name)
    {
        string? path = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Append("/usr/bin").Append("/usr/sbin")
            .Select(folder => Path.Combine(folder, name)).FirstOrDefault(File.Exists);
        if (path is null)
        {
            Console.WriteLine($"# {name} is not installed: its figures are missing");
        }

        return path;
    }

    /// <summary>VictoriaMetrics with its defaults, but for the address and for how long it keeps.</summary>
    public static Task<FeedPeer> VictoriaAsync(string program) =>
        StartAsync(program, (folder, port) => [$"-storageDataPath={folder}", $"-httpListenAddr=127.0.0.1:{port}", "-retentionPeriod=100y"]);

    /// <summary>Eclipse Mosquitto with its defaults, but for the address.</summary>
    public static Task<FeedPeer> MosquittoAsync(string program) => StartAsync(program, (folder, port) =>
    {
        string file = Path.Combine(folder, "mosquitto.conf");
        File.WriteAllText(file, $"user root\nlistener {port} 127.0.0.1\nallow_anonymous true\n");
        return ["-c", file];
    });

    public async ValueTask DisposeAsync()
    {
        _process.Kill();
        await _process.WaitForExitAsync();
        _process.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    private static async Task<FeedPeer> StartAsync(string program, Func<string, int, string[]> arguments)
    {
        int port = FreePorts.Next();
        string folder = Directory.CreateTempSubdirectory("thermowatch-feeds-").FullName;
        var process = Process.Start(new ProcessStartInfo(program, arguments(folder, port)) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        process.OutputDataReceived += (_, _) => { };
        process.ErrorDataReceived += (_, _) => { };
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        for (int attempt = 0; ; attempt++)
        {
            try
            {
                using var client = new TcpClient();
                await client.ConnectAsync(IPAddress.Loopback, port);
                return new FeedPeer(process, folder, port);
            }
            catch (SocketException) when (attempt < 200)
            {
                await Task.Delay(50);
            }
        }
    }
}

/// <summary>What something cost: its rate, and this process's processor time and memory traffic for each of what was counted.</summary>
/// <param name="Rate">How many a second.</param>
/// <param name="CpuUs">Processor time of each, us.</param>
/// <param name="Bytes">Bytes asked of the garbage collector for each.</param>
internal readonly record struct FeedCost(double Rate, double CpuUs, double Bytes)
{
    public static async Task<FeedCost> OfAsync(long count, Func<Task> work)
    {
        GC.Collect();
        TimeSpan cpu = Environment.CpuUsage.TotalTime;
        long bytes = GC.GetTotalAllocatedBytes();
        var clock = Stopwatch.StartNew();
        await work();
        double seconds = clock.Elapsed.TotalSeconds;
        return new FeedCost(count / seconds, (Environment.CpuUsage.TotalTime - cpu).TotalMicroseconds / count, (GC.GetTotalAllocatedBytes() - bytes) / (double)count);
    }

    /// <summary>The median of rounds, each figure for itself; the first round, in which the compiler is still at work, does not count.</summary>
    public static FeedCost Median(IReadOnlyList<FeedCost> rounds)
    {
        FeedCost[] counted = [.. rounds.Skip(1)];
        return new FeedCost(StoreBenchmarks.Median(counted.Select(c => c.Rate)), StoreBenchmarks.Median(counted.Select(c => c.CpuUs)), StoreBenchmarks.Median(counted.Select(c => c.Bytes)));
    }
}
