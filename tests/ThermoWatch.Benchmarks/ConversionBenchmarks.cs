using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Benchmarks;

/// <summary>Type K: EMF and a cold junction of its own for each reading, to temperature, -200 to 1372 °C.</summary>
internal static class ConversionBenchmarks
{
    private const int Count = 4096;
    private const int Rounds = 21;
    private const double RoundSeconds = 0.015;

    public static void Run()
    {
        var random = new Random(1);
        double[] millivolts = new double[Count];
        double[] sharedMillivolts = new double[Count]; // the same junctions, terminals at 25 °C
        double[] junctions = new double[Count];
        double[] exact = new double[Count];
        double[] result = new double[Count];
        for (int i = 0; i < Count; i++)
        {
            junctions[i] = 15 + (20 * random.NextDouble());
            double sum = ConversionPeers.Forward(-200 + (1572 * random.NextDouble()));
            millivolts[i] = sum - ConversionPeers.Forward(junctions[i]);
            sharedMillivolts[i] = sum - ConversionPeers.Forward(25);
            exact[i] = ConversionPeers.Bisection(millivolts[i] + ConversionPeers.Forward(junctions[i]));
        }

        Thermocouple k = Thermocouple.K;
        (string Name, Action Work)[] candidates =
        [
            ("typeK.chain", () => k.ToCelsius(millivolts, junctions, result)),
            ("typeK.chain.oneByOne", () => { for (int i = 0; i < Count; i++) result[i] = k.ToCelsius(millivolts[i], junctions[i]).Value; }),
            ("typeK.chain.sharedColdJunction", () => k.ToCelsius(sharedMillivolts, 25.0, result)),
            ("horner+newton", () => { for (int i = 0; i < Count; i++) result[i] = ConversionPeers.InverseAndNewton(millivolts[i] + ConversionPeers.Forward(junctions[i])); }),
            ("powers+newton", () => { for (int i = 0; i < Count; i++) result[i] = ConversionPeers.InverseAndNewtonByPowers(millivolts[i] + ConversionPeers.ForwardByPowers(junctions[i])); }),
            ("publishedInverse", () => { for (int i = 0; i < Count; i++) result[i] = ConversionPeers.PublishedInverse(millivolts[i] + ConversionPeers.Forward(junctions[i])); }),
        ];

        double[] errors = Array.ConvertAll(candidates, candidate => WorstError(candidate.Work, result, exact));
        double[][] nanoseconds = Measure(candidates);
        double allocated = AllocatedBytes(candidates[0].Work);
        for (int peer = 3; peer < candidates.Length; peer++)
        {
            for (int ours = 0; ours < 2; ours++)
            {
                double ratio = Median([.. nanoseconds[peer].Zip(nanoseconds[ours], (theirs, own) => theirs / own)]);
                Line($"{candidates[ours].Name} vs {candidates[peer].Name}", Median(nanoseconds[ours]), "ns", Median(nanoseconds[peer]), ratio);
            }

            Line($"worst error vs {candidates[peer].Name}", errors[0], "K", errors[peer], errors[peer] / errors[0]);
        }

        Line(candidates[2].Name, Median(nanoseconds[2]), "ns", null, null);
        Line("allocated per batch", allocated, "B", null, null);
    }

    private static double WorstError(Action work, double[] result, double[] exact)
    {
        work();
        return result.Zip(exact, (actual, expected) => Math.Abs(actual - expected)).Max();
    }

    /// <summary>All candidates in turn within each round, so that a disturbance meets them alike.</summary>
    private static double[][] Measure((string Name, Action Work)[] candidates)
    {
        foreach ((_, Action work) in candidates)
        {
            long warm = Stopwatch.GetTimestamp();
            while (Stopwatch.GetElapsedTime(warm).TotalSeconds < 0.15) work();
        }

        double[][] nanoseconds = Array.ConvertAll(candidates, _ => new double[Rounds]);
        for (int round = 0; round < Rounds; round++)
        {
            for (int i = 0; i < candidates.Length; i++)
            {
                int repeats = 0;
                long start = Stopwatch.GetTimestamp();
                do
                {
                    candidates[i].Work();
                    repeats++;
                }
                while (Stopwatch.GetElapsedTime(start).TotalSeconds < RoundSeconds);
                nanoseconds[i][round] = Stopwatch.GetElapsedTime(start).TotalNanoseconds / repeats / Count;
            }
        }

        return nanoseconds;
    }

    private static double AllocatedBytes(Action work)
    {
        long before = GC.GetAllocatedBytesForCurrentThread();
        work();
        return GC.GetAllocatedBytesForCurrentThread() - before;
    }

    private static double Median(double[] values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }

    private static void Line(string name, double value, string unit, double? peer, double? ratio) =>
        Console.WriteLine(string.Join('\t', name, Text(value), unit, Text(peer), Text(ratio)));

    private static string Text(double? value) => value?.ToString("G4", CultureInfo.InvariantCulture) ?? "-";
}
