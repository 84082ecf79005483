using System.Collections;
using System.CommandLine;
using ThermoWatch.Acquisition;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch serve</c>: the service.</summary>
internal static class ServeCommand
{
    internal const string DefaultFile = "thermowatch.json";

    public static Command Create()
    {
        Option<string> config = new("--config") { Description = "Configuration file.", DefaultValueFactory = _ => DefaultFile };
        Option<string?> data = new("--data") { Description = "Folder of the record; by default the folder data beside the configuration file." };
        Option<int?> port = new("--port") { Description = "Port of the web pages, instead of the one in the file." };
        Command command = new("serve", "Run the service. Example: thermowatch serve --config line2.json --data /var/lib/thermowatch") { config, data, port };
        command.SetAction((parse, stopping) => RunAsync(
            parse.GetValue(config)!, parse.GetValue(data), parse.GetValue(port), stopping));
        return command;
    }

    /// <summary>The devices that a configuration names, or its faults as one line: for verbs that need no more of it.</summary>
    public static (IReadOnlyList<ProbedDevice> Devices, string? Fault) Devices(string? config)
    {
        ConfigurationResult result = ConfigurationReader.ReadFile(config ?? DefaultFile, Environment());
        return result.Node is { } node
            ? (ProbedDevice.Of(node.Cells), null)
            : ([], string.Join(' ', result.Faults.Select(f => $"{f.Path} {f.Problem}. {f.Remedy}")));
    }

    private static async Task<int> RunAsync(string config, string? data, int? port, CancellationToken stopping)
    {
        await using PendingWeb web = PendingWeb.Begin();
        ConfigurationResult result = ConfigurationReader.ReadFile(config, Environment());
        if (result.Node is not { } node)
        {
            await ReportFaultsAsync(config, result.Faults);
            return ExitCodes.BadInput;
        }

        string folder = data ?? Path.Combine(Path.GetDirectoryName(Path.GetFullPath(config))!, "data");
        var mode = new NodeMode("serve", new AnchoredClock(TimeProvider.System), TimeProvider.System);
        return await Node.RunAsync(node with { Port = port ?? node.Port }, folder, mode, web, stopping);
    }

    private static async Task ReportFaultsAsync(string config, IReadOnlyList<ConfigurationFault> faults)
    {
        await Console.Error.WriteLineAsync($"thermowatch: {config} has {faults.Count} fault{(faults.Count == 1 ? "" : "s")}; nothing was started.");
        foreach (ConfigurationFault fault in faults)
        {
            await Console.Error.WriteLineAsync($"  {fault.Path} {fault.Problem}. {fault.Remedy}");
        }
    }

    internal static IEnumerable<KeyValuePair<string, string>> Environment() =>
        System.Environment.GetEnvironmentVariables().Cast<DictionaryEntry>()
            .Select(v => KeyValuePair.Create((string)v.Key, (string?)v.Value ?? ""));
}
