using System.Diagnostics;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>
/// What live curves cost a browser: the dashboard's own script in headless Chromium, beside the chart library and a bare canvas
/// given every point; how heavy the pages are; and how soon curves are there when a page is opened or a stored run pressed.
/// </summary>
internal static class DashboardBenchmarks
{
    private const string Rounds = "3";

    /// <summary>Prints the lines that the scripts print; they have the form of every figure here.</summary>
    public static void Run()
    {
        Script("tests/browser/bench.mjs", Rounds);
        OpeningAsync().GetAwaiter().GetResult();
    }

    /// <summary>A demo with its two dozen runs, opened by a browser that has nothing in its cache; left out where nothing is published.</summary>
    private static async Task OpeningAsync()
    {
        if (!File.Exists(Path.Combine(LiveBenchmarks.Published, "thermowatch.dll")))
        {
            await Console.Error.WriteLineAsync("How soon curves are there is left out: publish the service first.");
            return;
        }

        DirectoryInfo folder = Directory.CreateTempSubdirectory("thermowatch-bench-");
        (_, Process demo, int port) = await LiveBenchmarks.ReadyAsync(p =>
            LiveBenchmarks.Start("thermowatch.dll", "demo", "--port", $"{p}", "--data", Path.Combine(folder.FullName, "data"), "--start-at", "150"));
        try
        {
            await Task.Delay(TimeSpan.FromSeconds(5)); // what is asked for first is still being compiled then
            Script("tests/service/opening.mjs", $"http://localhost:{port}");
        }
        finally
        {
            LiveBenchmarks.End(demo);
            folder.Delete(recursive: true);
        }
    }

    private static void Script(string path, string argument)
    {
        using Process node = Process.Start(new ProcessStartInfo("node", [path, argument])
        {
            WorkingDirectory = Path.Combine(LiveBenchmarks.Root, "dashboards"),
        })!;
        node.WaitForExit();
        if (node.ExitCode != 0)
        {
            throw new InvalidOperationException($"{path} ended with {node.ExitCode}; it needs node, npm ci in dashboards, and Chromium.");
        }
    }
}
