using System.CommandLine;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch simulate</c>: simulated machines alone, on the wire.</summary>
public static class SimulateCommand
{
    private static readonly IReadOnlyDictionary<string, FaceKind> Faces = new Dictionary<string, FaceKind>
    {
        ["tcp"] = FaceKind.ModbusTcp,
        ["rtu"] = FaceKind.ModbusRtu,
        ["csv"] = FaceKind.Csv,
        ["keyvalue"] = FaceKind.KeyValue,
        ["query"] = FaceKind.Query,
    };

    private static readonly IReadOnlyDictionary<string, LineParity> Parities = new Dictionary<string, LineParity>
    {
        ["even"] = LineParity.Even,
        ["odd"] = LineParity.Odd,
        ["none"] = LineParity.None,
    };

    /// <summary>The verb with its options and its sub-verb <c>fleet</c>.</summary>
    public static Command Create()
    {
        Option<int> port = NumberOption.Create("--port", "TCP port on the loopback address; 0 takes a free one.", 0, p => p is >= 0 and <= 65535, "a port, 0 to 65535");
        Option<double> speed = NumberOption.Create("--speed", "Seconds of machine time in one second.", 1.0, s => s is > 0 and <= 10_000, "above 0 and at most 10000");
        Option<int> seed = NumberOption.Create("--seed", "Seed of everything random; the same seed gives the same machine.", 1, _ => true, "a whole number");
        Option<double> startAt = NumberOption.Create("--start-at", "Seconds of machine time that have passed when it is first seen.", 0.0, s => s is >= 0 and <= 1e6, "0 to 1000000 seconds");
        Option<int> cells = NumberOption.Create("--cells", "Number of machines, each at its own address.", 1, n => n is >= 1 and <= 64, "1 to 64");
        Option<int> baud = NumberOption.Create("--baud", "Speed of the serial port.", 19200, n => n is >= 1200 and <= 115200, "1200 to 115200");
        Option<bool> noiseFree = new("--noise-free") { Description = "Ideal instruments: no noise, no tolerance, no response time." };
        Option<string?> truth = new("--truth") { Description = "CSV file for what really is, ten rows in a second of machine time." };
        Option<string?> device = new("--device") { Description = "Serial port to serve instead of a TCP port (Linux)." };
        Option<string> scenario = new("--scenario")
        {
            Description = $"What happens: a JSON file, or one of {string.Join(", ", ScenarioLibrary.Names)}.",
            DefaultValueFactory = _ => "normal",
        };
        Option<string> face = Choice("--face", "What is seen on the wire.", "tcp", Faces.Keys);
        Option<string> parity = Choice("--parity", "Parity of the serial port.", "even", Parities.Keys);

        Command command = new("simulate", "Simulated machines alone, on the wire.\nExample: thermowatch simulate --port 1502 --seed 7 --start-at 100")
        {
            port, speed, seed, scenario, noiseFree, truth, startAt, face, device, baud, parity, cells, FleetCommand.Create(),
        };
        command.Validators.Add(result =>
        {
            if ((result.GetResult(device) is not null || result.GetResult(truth) is not null) && result.GetResult(cells) is { Implicit: false } given && given.Tokens is not [{ Value: "1" }])
            {
                result.AddError("--device and --truth serve one machine; leave out --cells.");
            }
        });
        command.SetAction((parsed, stop) => RunAsync(
            parsed.GetValue(scenario)!,
            new SimulatorOptions { Seed = parsed.GetValue(seed), NoiseFree = parsed.GetValue(noiseFree) },
            new WireOptions
            {
                Port = parsed.GetValue(port),
                Speed = parsed.GetValue(speed),
                StartAt = TimeSpan.FromSeconds(parsed.GetValue(startAt)),
                TruthPath = parsed.GetValue(truth),
                Face = Faces[parsed.GetValue(face)!],
                Device = parsed.GetValue(device),
                Baud = parsed.GetValue(baud),
                Parity = Parities[parsed.GetValue(parity)!],
                Cells = parsed.GetValue(cells),
            },
            parsed.InvocationConfiguration,
            stop));
        return command;
    }

    private static async Task<int> RunAsync(string name, SimulatorOptions options, WireOptions host, InvocationConfiguration console, CancellationToken stop)
    {
        (Scenario? scenario, string? problem) = await ReadScenarioAsync(name, stop);
        if (scenario is null)
        {
            await console.Error.WriteLineAsync("thermowatch: " + problem);
            return ExitCodes.BadInput;
        }

        SimulatorOutcome outcome = await SimulatorHost.RunAsync(options, scenario, host, console.Output, TimeProvider.System, stop);
        if (outcome.Problem is null)
        {
            return ExitCodes.Done;
        }

        await console.Error.WriteLineAsync("thermowatch: " + outcome.Problem);
        return ExitCodes.Unreachable;
    }

    private static async Task<(Scenario? Scenario, string? Problem)> ReadScenarioAsync(string name, CancellationToken stop)
    {
        if (!name.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
        {
            return (ScenarioLibrary.Find(name), $"No scenario is called '{name}'. Name a JSON file, or one of: {string.Join(", ", ScenarioLibrary.Names)}.");
        }

        try
        {
            (Scenario? scenario, IReadOnlyList<string> problems) = ScenarioFile.Parse(await File.ReadAllTextAsync(name, stop));
            return (scenario, $"{name}: {string.Join(' ', problems)}");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return (null, $"The scenario cannot be read: {e.Message} Name a file that is there with --scenario.");
        }
    }

    private static Option<string> Choice(string name, string description, string usual, IEnumerable<string> choices)
    {
        Option<string> option = new(name) { Description = description, DefaultValueFactory = _ => usual };
        option.AcceptOnlyFromAmong([.. choices]);
        return option;
    }
}
