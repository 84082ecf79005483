using System.Text.Json.Nodes;
using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Demo;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Live;
using ThermoWatch.Simulator;

namespace ThermoWatch.Service.Tests.Rejudging;

/// <summary>The record of a simulated machine at work, as the service makes it: raw registers, noise, evacuations, two carriers.</summary>
internal static class SimulatedRecord
{
    public static readonly Timestamp Born = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    public static string SpecText { get; } = Text("traction-board.spec.json");

    /// <summary>Lives through some runs and leaves their record in a folder.</summary>
    public static async Task MakeAsync(string path, int runs, string scenario = "normal")
    {
        NodeConfiguration node = Configuration();
        CellConfiguration cell = node.Cells[0];
        using DataFolder folder = DataFolder.Open(path, TimeProvider.System).Folder!;
        using RunCatalogue catalogue = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);
        await using var recorder = new RunRecorder(catalogue, 1, TimeProvider.System, NullLogger.Instance);
        using CellJournal journal = CellJournal.Open(folder.JournalPath(1), cell.Definition, TimeProvider.System, new JournalOptions { SealInBackground = false });
        foreach ((string name, int version, string text) in node.SpecTexts)
        {
            catalogue.SaveSpec(new SpecVersion(name, version, text, Born, "test"));
        }

        var host = new CellHost(cell, journal, recorder, new Viewers(), new NodeMode("test", new AnchoredClock(TimeProvider.System), TimeProvider.System), NullLogger.Instance);
        host.AssignSpec(Born);
        var machine = new SimulatedCell(new SimulatorOptions { Scenario = scenario });
        IReadOnlyList<ModbusPoint> points = ((ModbusDeviceOptions)cell.Devices[0]).Points;
        for (int run = 1; run <= runs; run++)
        {
            // A run at a time, so that a long record needs no more memory than a short one.
            DemoHistory history = DemoHistory.Live(machine, run, 0);
            foreach (EngineInput[] batch in history.Scans(points, Born, () => null).Chunk(256))
            {
                host.Process(batch);
            }
        }

        journal.CloseSegment();
        journal.SealClosed();
    }

    public static NodeConfiguration Configuration(Action<JsonNode>? change = null)
    {
        JsonNode json = JsonNode.Parse(Text("thermowatch.json"))!;
        change?.Invoke(json);
        ConfigurationResult result = ConfigurationReader.Read(json.ToJsonString(), [], name => System.Text.Encoding.UTF8.GetBytes(Text(name)));
        return result.Node ?? throw new InvalidOperationException(string.Join(' ', result.Faults));
    }

    private static string Text(string name)
    {
        using Stream stream = typeof(DemoNode).Assembly.GetManifestResourceStream("ThermoWatch.Service.Demo." + name)!;
        return new StreamReader(stream).ReadToEnd();
    }
}
