using System.Diagnostics;

namespace ThermoWatch.Acquisition.Tests;

/// <summary>See <see cref="LongRuns.Alone"/>.</summary>
[CollectionDefinition(LongRuns.Alone, DisableParallelization = true)]
public sealed class Alone;

/// <summary>Tests that repeat much: a build server runs a twentieth, and a person all of it with THERMOWATCH_FULL=1.</summary>
internal static class LongRuns
{
    /// <summary>Collection of tests that measure the whole process: nothing else runs beside them.</summary>
    public const string Alone = "alone";

    public static int Twentieths { get; } = Environment.GetEnvironmentVariable("THERMOWATCH_FULL") == "1" ? 20 : 1;

    /// <summary>A figure for the person who reads the run.</summary>
    public static void Tell(string figure) => TestContext.Current.TestOutputHelper?.WriteLine(figure);

    /// <summary>Lets an exchange with a peer that never answers end many times, and holds each to its deadline.</summary>
    /// <param name="exchange">One exchange; gets its number.</param>
    /// <param name="timeout">Its time-out.</param>
    public static void EndsAtItsDeadline(Action<int> exchange, TimeSpan timeout)
    {
        int count = 500 * Twentieths;
        exchange(0); // what is made once
        int threads = Threads();
        var took = new double[count];
        for (int i = 0; i < count; i++)
        {
            long began = Stopwatch.GetTimestamp();
            exchange(i + 1);
            took[i] = (Stopwatch.GetElapsedTime(began) - timeout).TotalMilliseconds;
        }

        Array.Sort(took);
        int grown = Threads() - threads;
        Tell($"{count} exchanges with a time-out of {timeout.TotalMilliseconds:0} ms: past it {took[count / 2]:0.00} ms (median), {took[count * 999 / 1000]:0.0} ms (99.9 %), {took[^1]:0.0} ms (worst); threads {grown:+0;-0;0}");
        Assert.True(took[0] >= -1, "none ends early");
        Assert.True(took[count / (Twentieths > 1 ? 2 : 10)] < 100, "a busy computer may hold up many, a driver that ignores its time-out holds up all");
        Assert.InRange(grown, -1000, 40); // the runtime's own come and go with the load; one left behind by each exchange would be hundreds
    }

    private static int Threads()
    {
        using var process = Process.GetCurrentProcess();
        return process.Threads.Count;
    }
}
