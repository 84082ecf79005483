using System.Net;
using System.Text.Json.Nodes;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Service.Demo;

/// <summary>What a demo can be told.</summary>
/// <param name="Port">Port of the web pages.</param>
/// <param name="Speed">How fast time goes, for machine and service.</param>
/// <param name="DataFolder">Folder of the record; null: a new one.</param>
/// <param name="Scenario">What the machine plays.</param>
/// <param name="StartAtSeconds">Seconds of the current run that have passed when the page opens.</param>
/// <param name="History">Finished runs in the record when the page opens.</param>
internal sealed record DemoOptions(int Port, double Speed, string? DataFolder, string Scenario, double StartAtSeconds, int History);

/// <summary>The whole product with a simulated machine, joined by a real socket on loopback.</summary>
internal static class DemoNode
{
    public static async Task<int> RunAsync(DemoOptions options, CancellationToken stopping)
    {
        await using PendingWeb web = PendingWeb.Begin();
        // The special run of a scenario is the one that is watched, not one that lies in the record.
        var machine = new SimulatorOptions { Scenario = options.Scenario, OvershootRun = options.History + 1 };
        SimulatedCell cell;
        try
        {
            cell = new SimulatedCell(machine);
        }
        catch (ArgumentException unknown)
        {
            await Console.Error.WriteLineAsync("thermowatch: " + unknown.Message);
            return ExitCodes.BadInput;
        }

        var history = DemoHistory.Live(cell, options.History, options.StartAtSeconds);
        TimeProvider time = options.Speed == 1 ? TimeProvider.System : new ScaledTimeProvider(TimeProvider.System, options.Speed);
        var clock = new AnchoredClock(time);
        Timestamp born = clock.Now - cell.MachineTime;
        var live = new LiveCell(cell, time) { Sampled = history.Keep };
        await using ModbusTcpFace face = ModbusTcpFace.Start(new CellRegisters(live), new IPEndPoint(IPAddress.Loopback, 0));
        NodeConfiguration node = Configure(options, face.Port);
        IReadOnlyList<ModbusPoint> points = ((ModbusDeviceOptions)node.Cells[0].Devices[0]).Points;
        var mode = new NodeMode("demo", clock, time, Demo: true, (host, ended) =>
        {
            Fill(host, history.Scans(points, born, () => host.FirstWaiting), born, options.History, ended);
            live.Sampled = null;
        });
        return await Node.RunAsync(node, options.DataFolder ?? DemoFolders.New(), mode, web, stopping);
    }

    /// <summary>Puts the machine's past into a new record, while what comes over the wire already waits behind it.</summary>
    private static void Fill(CellHost host, IEnumerable<EngineInput> past, Timestamp born, int runs, CancellationToken ended)
    {
        if (!host.IsNew)
        {
            return;
        }

        host.AssignSpec(born);
        // About three seconds each: the spec of a run is chosen between batches, as soon as it is live.
        foreach (EngineInput[] batch in past.Chunk(32))
        {
            if (ended.IsCancellationRequested)
            {
                return;
            }

            host.Process(batch);
            if (DemoShift.Sees(host.Picture, batch[^1].Time, runs).ToArray() is { Length: > 0 } seen)
            {
                host.Process(seen);
            }
        }
    }

    private static NodeConfiguration Configure(DemoOptions options, int devicePort)
    {
        JsonNode json = JsonNode.Parse(Embedded("thermowatch.json"))!;
        json["port"] = options.Port;
        json["cells"]![0]!["devices"]![0]!["port"] = devicePort;
        ConfigurationResult result = ConfigurationReader.Read(json.ToJsonString(), [], Embedded);
        return result.Node ?? throw new InvalidOperationException("The demo's own configuration is wrong: " + string.Join(' ', result.Faults));
    }

    private static byte[] Embedded(string name)
    {
        using Stream stream = typeof(DemoNode).Assembly.GetManifestResourceStream("ThermoWatch.Service.Demo." + name)
            ?? throw new InvalidOperationException($"{name} is not in the program.");
        byte[] bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
