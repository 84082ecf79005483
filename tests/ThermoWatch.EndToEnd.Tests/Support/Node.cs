using System.Text.Json.Nodes;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>A simulated machine and a service that watches it, each a process, in a data folder of their own.</summary>
internal sealed class Node : IAsyncDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("thermowatch-test-");

    public int Port { get; } = FreePorts.Next();

    public string DataFolder => Path.Combine(_folder.FullName, "data");

    /// <summary>What the service is started with.</summary>
    public string ConfigurationFile { get; private set; } = Published.DemoFile("thermowatch.json");

    public string TruthFile => Path.Combine(_folder.FullName, "truth.csv");

    /// <summary>Port of the simulated machine; 0 before it was started.</summary>
    public int MachinePort { get; private set; }

    public ProgramRun? Machine { get; private set; }

    public ProgramRun? Service { get; private set; }

    public async Task StartMachineAsync(params string[] arguments)
    {
        Machine = ProgramRun.Start(["simulate", "--port", "0", .. arguments]);
        string line = await Machine.SaysAsync("listening on 127.0.0.1:");
        MachinePort = int.Parse(line[(line.LastIndexOf(':') + 1)..]);
    }

    /// <summary>Starts the service, with the demo's configuration changed as told.</summary>
    public async Task StartServiceAsync(Action<JsonNode> change)
    {
        JsonNode json = JsonNode.Parse(await File.ReadAllTextAsync(Published.DemoFile("thermowatch.json")))!;
        change(json);
        ConfigurationFile = Path.Combine(_folder.FullName, "thermowatch.json");
        await File.WriteAllTextAsync(ConfigurationFile, json.ToJsonString());
        File.Copy(Published.DemoFile("traction-board.spec.json"), Path.Combine(_folder.FullName, "traction-board.spec.json"), overwrite: true);
        File.Copy(Published.DemoFile("gate-driver.spec.json"), Path.Combine(_folder.FullName, "gate-driver.spec.json"), overwrite: true);
        await StartServiceAsync();
    }

    public async Task StartServiceAsync()
    {
        Service = ProgramRun.Start(
            ["serve", "--config", ConfigurationFile, "--data", DataFolder, "--port", Port.ToString()],
            ("THERMOWATCH__cells__0__devices__0__port", (MachinePort == 0 ? FreePorts.Next() : MachinePort).ToString()));
        await Service.SaysAsync("ThermoWatch is at");
    }

    /// <summary>A feed of lines to a database at a port of this computer, for the configuration.</summary>
    public static JsonObject Historian(int port) => new()
    {
        ["id"] = "historian",
        ["kind"] = "influx",
        ["url"] = $"http://127.0.0.1:{port}",
        ["bucket"] = "plant",
        ["longestWait_s"] = 1,
    };

    public async ValueTask DisposeAsync()
    {
        if (Service is { } service)
        {
            await service.DisposeAsync();
        }

        if (Machine is { } machine)
        {
            await machine.DisposeAsync();
        }

        _folder.Delete(recursive: true);
    }
}
