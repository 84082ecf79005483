using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace ThermoWatch.Simulator.Fleet;

/// <summary>Makes labelled runs by the thousand: the proving ground for forecasts and alarms.</summary>
public static class FleetFactory
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        WriteIndented = true,
        NewLine = "\n",
        DefaultIgnoreCondition = JsonIgnoreCondition.Never,
    };

    /// <summary>Plays all runs, spread over the cores, and writes three files for each: measured, true, labels.</summary>
    /// <param name="options">What to make.</param>
    /// <param name="folder">Made if it is not there; files of the same names are replaced.</param>
    /// <param name="progress">Told the number of runs written.</param>
    /// <param name="stop">Ends it; runs written so far stay.</param>
    /// <exception cref="IOException">The folder cannot be written.</exception>
    public static async Task WriteAsync(FleetOptions options, string folder, IProgress<int>? progress, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(options);
        Directory.CreateDirectory(folder);
        int written = 0;
        await Parallel.ForEachAsync(
            Enumerable.Range(1, options.Runs),
            new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = stop },
            async (number, cancel) =>
            {
                FleetRun run = FleetRun.Play(FleetMember.Draw(options, number), options.Period);
                string path = Path.Combine(folder, "run-" + number.ToString("0000", CultureInfo.InvariantCulture));
                await File.WriteAllBytesAsync(path + ".csv", CurveWriter.Measured(run), cancel);
                await File.WriteAllBytesAsync(path + ".true.csv", CurveWriter.True(run), cancel);
                await File.WriteAllBytesAsync(path + ".json", Labels(options, run), cancel);
                progress?.Report(Interlocked.Increment(ref written));
            });
    }

    /// <summary>Labels of a run: what it was, what was wrong and when, and its true figures.</summary>
    internal static byte[] Labels(FleetOptions options, FleetRun run) => JsonSerializer.SerializeToUtf8Bytes(
        new
        {
            Run = run.Member.Number,
            FleetSeed = options.Seed,
            run.Member.Seed,
            Family = FleetRun.Name(run.Member.Scenario.Family.ToString()),
            run.Label.Product,
            run.Label.AskedRecipe,
            Recipe = run.Label.RecipeNumber,
            run.Label.Boards,
            run.Label.Serials,
            run.Label.Instrumented,
            AmbientMbar = Math.Round(run.Rows[0].Truth.AmbientMbar, 2),
            Faults = run.Label.Faults.Select(f => new
            {
                Kind = FleetRun.Name(f.Kind.ToString()),
                AtSeconds = Finite(f.AtSeconds),
                ForSeconds = Finite(f.ForSeconds),
                f.Amount,
                Channel = f.Channel < 0 ? (int?)null : f.Channel,
            }),
            Events = run.Events.Select(e => new { T = Math.Round(e.Seconds, 3), e.Name }),
            Figures = TrueFigures.Of(run),
        },
        Json);

    // JSON knows no infinity: null means from the beginning, or to the end.
    private static double? Finite(double seconds) => double.IsFinite(seconds) ? seconds : null;
}
