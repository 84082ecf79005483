using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
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

/// <summary>A cell that has lived through runs of the simulated machine, as the service lets it live: host, journal, catalogue.</summary>
internal sealed class RecordedCell : IDisposable
{
    private readonly DataFolder _folder;
    private readonly CellJournal _journal;

    private RecordedCell(DataFolder folder, CellJournal journal, RunCatalogue catalogue, CellHost host) => (_folder, _journal, Catalogue, Host) = (folder, journal, catalogue, host);

    public RunCatalogue Catalogue { get; }

    public CellHost Host { get; }

    /// <summary>Lives through some runs.</summary>
    /// <param name="path">Folder of the record.</param>
    /// <param name="node">Configuration; its first cell is the one.</param>
    /// <param name="runs">How many runs.</param>
    /// <param name="scenario">What the machine plays.</param>
    /// <param name="overshootRun">Which run of the overshooting scenario overshoots; null: the first.</param>
    /// <param name="before">What somebody does before the first run.</param>
    /// <param name="restarted">Whether the service is started anew between that and the first run, and the loop has lived what was queued.</param>
    /// <param name="beside">What watches beside the loop, once a batch; it answers reports.</param>
    /// <param name="altered">What comes over the wire in the machine's run of that number, changed on its way.</param>
    public static async Task<RecordedCell> MakeAsync(
        string path, NodeConfiguration node, int runs, string scenario = "normal", int? overshootRun = null, Action<CellHost>? before = null, bool restarted = false, Func<CellHost, RunCatalogue, IEnumerable<EngineInput>>? beside = null,
        Func<int, EngineInput, EngineInput>? altered = null)
    {
        CellConfiguration cell = node.Cells[0];
        DataFolder folder = DataFolder.Open(path, TimeProvider.System).Folder!;
        RunCatalogue catalogue = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);
        var recorder = new RunRecorder(catalogue, 1, TimeProvider.System, NullLogger.Instance);
        CellJournal journal = CellJournal.Open(folder.JournalPath(1), cell.Definition, TimeProvider.System, new JournalOptions { SealInBackground = false });
        foreach ((string name, int version, string text) in node.SpecTexts)
        {
            catalogue.SaveSpec(new SpecVersion(name, version, text, SimulatedRecord.Born, "test"));
        }

        CellHost NewHost() => new(cell, journal, recorder, new Viewers(NullLogger.Instance), new NodeMode("test", new AnchoredClock(TimeProvider.System), TimeProvider.System), NullLogger.Instance);
        CellHost host = NewHost();
        host.AssignSpec(SimulatedRecord.Born);
        before?.Invoke(host);
        if (restarted)
        {
            host.Process([.. host.TakeQueued().Select(input => input with { Time = SimulatedRecord.Born })]);
            await recorder.DisposeAsync();
            recorder = new RunRecorder(catalogue, 1, TimeProvider.System, NullLogger.Instance);
            host = NewHost();
            host.Recover();
            host.AssignSpec(SimulatedRecord.Born);
        }

        var machine = new SimulatedCell(new SimulatorOptions { Scenario = scenario, OvershootRun = overshootRun ?? 1 });
        IReadOnlyList<ModbusPoint> points = ((ModbusDeviceOptions)cell.Devices[0]).Points;
        for (int run = 1; run <= runs; run++)
        {
            // A run at a time, so that a long record needs no more memory than a short one.
            DemoHistory history = DemoHistory.Live(machine, run, 0);
            foreach (EngineInput[] batch in history.Scans(points, SimulatedRecord.Born, () => null).Select(input => altered?.Invoke(run, input) ?? input).Chunk(10))
            {
                host.Process(Queued(host, batch));
                host.PublishNow();
                if (beside?.Invoke(host, catalogue).ToArray() is { Length: > 0 } reports)
                {
                    host.Process(reports);
                }
            }
        }

        journal.CloseSegment();
        journal.SealClosed();
        await recorder.DisposeAsync();
        return new RecordedCell(folder, journal, catalogue, host);
    }

    public void Dispose()
    {
        _journal.Dispose();
        Catalogue.Dispose();
        _folder.Dispose();
    }

    /// <summary>What waits in the cell's queue comes first, at the time of what comes next: here time is the machine's, not the computer's.</summary>
    private static EngineInput[] Queued(CellHost host, EngineInput[] batch)
    {
        List<EngineInput> waiting = [.. host.TakeQueued()];
        return [.. waiting.Select(input => input with { Time = batch[0].Time }), .. batch];
    }
}
