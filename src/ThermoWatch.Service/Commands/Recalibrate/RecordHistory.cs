using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary>A run in the record: the engine lives through its raw numbers as it did then.</summary>
internal sealed class RecordHistory(CellJournal journal, CellDefinition cell, RunRow run, Action<long> progress) : IHistory
{
    /// <summary>What happened this long before a run still shows in its beginning: rest pressure, least temperatures.</summary>
    private static readonly TimeSpan Before = TimeSpan.FromMinutes(15);

    /// <summary>With other temperatures a run may end later than it did.</summary>
    private static readonly TimeSpan After = TimeSpan.FromMinutes(30);

    private readonly List<string> _notes = [];

    public string Name => string.Create(CultureInfo.InvariantCulture, $"run {run.Number} of cell {run.Cell}, carrier {run.Carrier}, {run.Start.ToDateTimeOffset():yyyy-MM-dd HH:mm:ss} UTC");

    public IReadOnlyList<ChannelDefinition> Channels => cell.Channels;

    public IReadOnlyList<string> Notes => _notes;

    public JudgedRun? Judge(IReadOnlyDictionary<string, Calibration>? calibrations)
    {
        CellDefinition seen = calibrations is null ? cell : Recalibration.Of(cell, calibrations);
        (CellEngine engine, long from) = Begin(seen);
        var readings = cell.Channels.ToDictionary(channel => channel.Id, _ => new List<Reading>());
        List<EngineEvent> events = [];
        foreach (JournalEntry entry in journal.ReadFrom(from))
        {
            progress(entry.Sequence);
            if (entry.Time > run.End!.Value + After && entry is InputEntry)
            {
                return null;
            }

            if (entry is not InputEntry { Input: var input } || (input is ScanInput { Scan: var scan } && !IsOf(scan)))
            {
                continue;
            }

            events.Clear();
            engine.Advance(input, events);
            Collect(engine, input, readings);
            RunEvent? ended = events.OfType<RunEvent>().FirstOrDefault(found =>
                found.State != RunState.Started && found.Carrier == run.Carrier && found.Start < run.End && found.End > run.Start);
            if (ended is not null)
            {
                RunPicture picture = engine.LastRun(run.Carrier)!;
                if (calibrations is null) NoteDifference(picture);
                return new JudgedRun(picture, picture.Start, Within(readings, picture));
            }
        }

        return null;
    }

    /// <summary>An engine that knows what stood before the run, and where to go on from.</summary>
    private (CellEngine Engine, long From) Begin(CellDefinition seen)
    {
        if (journal.LatestSnapshot(run.Start - Before) is not { } snapshot)
        {
            return (new CellEngine(seen), 1);
        }

        // A snapshot of another wiring does not fit; what was recorded since the wiring changed is in what follows.
        if (journal.DefinitionAt(snapshot.Sequence) is not { } then || !IsSameWiring(then))
        {
            return (new CellEngine(seen), snapshot.Sequence + 1);
        }

        try
        {
            return (CellEngine.Restore(seen, new BinaryReader(new MemoryStream(snapshot.State.ToArray()))), snapshot.Sequence + 1);
        }
        catch (Exception e) when (e is InvalidDataException or EndOfStreamException)
        {
            return (new CellEngine(seen), 1); // another version of the program wrote it
        }
    }

    private bool IsSameWiring(CellDefinition other) =>
        other.Channels.Select(channel => channel.Id).SequenceEqual(cell.Channels.Select(channel => channel.Id))
        && other.Devices.Select(device => (device.Id, string.Join('\n', device.Points))).SequenceEqual(cell.Devices.Select(device => (device.Id, string.Join('\n', device.Points))));

    private bool IsOf(RawScan scan) => scan.DeviceIndex < cell.Devices.Count && scan.Values.Length == cell.Devices[scan.DeviceIndex].Points.Count;

    private void Collect(CellEngine engine, EngineInput input, Dictionary<string, List<Reading>> readings)
    {
        if (input is not ScanInput { Scan: var scan })
        {
            return;
        }

        for (int i = 0; i < cell.Channels.Count; i++)
        {
            if (cell.Channels[i].Device == cell.Devices[scan.DeviceIndex].Id && engine.Readings[i].Quality.HasValue)
            {
                readings[cell.Channels[i].Id].Add(engine.Readings[i]);
            }
        }
    }

    private static Dictionary<string, IReadOnlyList<Reading>> Within(Dictionary<string, List<Reading>> readings, RunPicture picture) =>
        readings.ToDictionary(
            channel => channel.Key,
            channel => (IReadOnlyList<Reading>)channel.Value.FindAll(reading => reading.Time >= picture.Start && reading.Time <= picture.End));

    /// <summary>What is judged now from the same raw numbers should be what was judged then; where it is not, that must be said.</summary>
    private void NoteDifference(RunPicture now)
    {
        List<FigureResult> others = [.. run.Figures.Where(then => !now.Figures.Any(figure =>
            (figure.Figure, figure.ChannelId, figure.Lower, figure.Upper, figure.Value) == (then.Figure, then.ChannelId, then.Lower, then.Upper, then.Value)))];
        if (others.Count > 0)
        {
            _notes.Add($"Lived through again without a new calibration, {others.Count} of {run.Figures.Length} figures differ from those in the catalogue (first: {others[0].Figure} {others[0].ChannelId}): this program computes them otherwise than the one that judged the run.");
        }
    }
}
