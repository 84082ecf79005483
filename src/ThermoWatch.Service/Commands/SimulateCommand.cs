using System.CommandLine;
using System.Globalization;
using System.Numerics;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch simulate</c>: the simulated machine alone, on the wire.</summary>
public static class SimulateCommand
{
    private const int Done = 0;
    private const int Unreachable = 3;

    /// <summary>The verb with its options.</summary>
    public static Command Create()
    {
        Option<int> port = Number("--port", "TCP port on the loopback address; 0 takes a free one.", 0, p => p is >= 0 and <= 65535, "a port, 0 to 65535");
        Option<double> speed = Number("--speed", "Seconds of machine time in one second.", 1.0, s => s is > 0 and <= 10_000, "above 0 and at most 10000");
        Option<int> seed = Number("--seed", "Seed of everything random; the same seed gives the same machine.", 1, _ => true, "a whole number");
        Option<double> startAt = Number("--start-at", "Seconds of machine time that have passed when it is first seen.", 0.0, s => s is >= 0 and <= 1e6, "0 to 1000000 seconds");
        Option<bool> noiseFree = new("--noise-free") { Description = "Ideal instruments: no noise, no tolerance, no response time." };
        Option<string?> truth = new("--truth") { Description = "CSV file for what really is, ten rows in a second of machine time." };
        string names = string.Join(", ", ScenarioLibrary.Names);
        Option<string> scenario = new("--scenario") { Description = $"What happens: {names}.", DefaultValueFactory = _ => "normal" };
        scenario.Validators.Add(result =>
        {
            if (!ScenarioLibrary.Names.Contains(result.GetValueOrDefault<string>()))
            {
                result.AddError($"--scenario must be one of: {names}.");
            }
        });

        Command command = new("simulate", "The simulated machine alone, as a Modbus TCP slave.\nExample: thermowatch simulate --port 1502 --seed 7 --start-at 100")
        {
            port, speed, seed, scenario, noiseFree, truth, startAt, FleetCommand.Create(),
        };
        command.SetAction(async (parsed, stop) =>
        {
            var options = new SimulatorOptions
            {
                Seed = parsed.GetValue(seed),
                Scenario = parsed.GetValue(scenario)!,
                NoiseFree = parsed.GetValue(noiseFree),
            };
            TextWriter output = parsed.InvocationConfiguration.Output, error = parsed.InvocationConfiguration.Error;
            SimulatorOutcome outcome = await SimulatorHost.RunAsync(
                options, parsed.GetValue(port), parsed.GetValue(speed), TimeSpan.FromSeconds(parsed.GetValue(startAt)),
                output, parsed.GetValue(truth), TimeProvider.System, stop);
            if (outcome.Problem is { } problem)
            {
                await error.WriteLineAsync(problem);
                return Unreachable;
            }

            return Done;
        });
        return command;
    }

    // Parsed here and not by the library, so that a decimal comma and a number out of range get the same plain answer.
    internal static Option<T> Number<T>(string name, string description, T usual, Func<T, bool> holds, string wanted)
        where T : struct, INumber<T> => new(name)
        {
            Description = description,
            DefaultValueFactory = _ => usual,
            CustomParser = argument =>
            {
                if (argument.Tokens is [{ Value: var text }] && T.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out T value) && holds(value))
                {
                    return value;
                }

                argument.AddError($"{name} must be {wanted}.");
                return usual;
            },
        };
}
