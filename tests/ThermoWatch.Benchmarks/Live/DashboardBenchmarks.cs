using System.Diagnostics;

namespace ThermoWatch.Benchmarks.Live;

/// <summary>What live curves cost a browser: the dashboard's own script in headless Chromium, beside the chart library given every point.</summary>
internal static class DashboardBenchmarks
{
    private const string Rounds = "3";

    /// <summary>Prints the lines that the script prints; they have the form of every figure here.</summary>
    public static void Run()
    {
        using Process node = Process.Start(new ProcessStartInfo("node", ["tests/browser/bench.mjs", Rounds])
        {
            WorkingDirectory = Path.Combine(LiveBenchmarks.Root, "dashboards"),
        })!;
        node.WaitForExit();
        if (node.ExitCode != 0)
        {
            throw new InvalidOperationException($"The browser's script ended with {node.ExitCode}; it needs node, npm ci in dashboards, and Chromium.");
        }
    }
}
