using System.CommandLine;
using System.Diagnostics;
using System.Globalization;
using ThermoWatch.Simulator.Fleet;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch simulate fleet</c>: labelled runs as curve files, much faster than real time.</summary>
public static class FleetCommand
{
    /// <summary>The verb with its options.</summary>
    public static Command Create()
    {
        Option<int> runs = NumberOption.Create("--runs", "How many runs.", 100, n => n is >= 1 and <= 1_000_000, "1 to 1000000");
        Option<int> seed = NumberOption.Create("--seed", "Seed of the fleet; the same seed gives the same files.", 1, _ => true, "a whole number");
        Option<double> faults = NumberOption.Create("--faults", "Share of runs with a fault.", 0.5, s => s is >= 0 and <= 1, "0 to 1");
        Option<double> production = NumberOption.Create("--production", "Share of runs without thermocouples on the boards.", 0.25, s => s is >= 0 and <= 1, "0 to 1");
        Option<string> folder = new("--out") { Description = "Folder for the files.", Required = true };
        Command command = new("fleet", "Labelled runs: run-0001.csv as measured, run-0001.true.csv, run-0001.json.\nExample: thermowatch simulate fleet --runs 1000 --seed 7 --out fleet")
        {
            runs, seed, faults, production, folder,
        };
        command.SetAction(async (parsed, stop) =>
        {
            var options = new FleetOptions
            {
                Runs = parsed.GetValue(runs),
                Seed = parsed.GetValue(seed),
                FaultShare = parsed.GetValue(faults),
                ProductionShare = parsed.GetValue(production),
            };
            TextWriter output = parsed.InvocationConfiguration.Output, error = parsed.InvocationConfiguration.Error;
            long began = Stopwatch.GetTimestamp();
            try
            {
                await FleetFactory.WriteAsync(options, parsed.GetValue(folder)!, new Tenths(options.Runs, error), stop);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                await error.WriteLineAsync($"thermowatch: The fleet cannot be written: {e.Message} Choose another folder with --out.");
                return ExitCodes.Unreachable;
            }
            catch (OperationCanceledException)
            {
                await error.WriteLineAsync("thermowatch: Stopped. The runs written so far are complete but for the last ones begun.");
                return ExitCodes.Done;
            }

            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture,
                $"{options.Runs} runs in {Stopwatch.GetElapsedTime(began).TotalSeconds:0.0} s: {Path.GetFullPath(parsed.GetValue(folder)!)}"));
            return ExitCodes.Done;
        });
        return command;
    }

    // Told from several threads at once; says something ten times in all.
    private sealed class Tenths(int runs, TextWriter writer) : IProgress<int>
    {
        private readonly Lock _gate = new();
        private int _said;

        public void Report(int value)
        {
            lock (_gate)
            {
                int tenth = (int)(10L * value / runs);
                if (tenth > _said)
                {
                    _said = tenth;
                    writer.WriteLine($"{10 * tenth} %");
                }
            }
        }
    }
}
