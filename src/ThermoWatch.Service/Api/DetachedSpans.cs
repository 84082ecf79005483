using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Api;

/// <summary>Finds from when on a thermocouple of a run no longer showed what it measured, as the engine found it live.</summary>
/// <remarks>
/// The record holds what was read, not what was thought of it, so the run is lived through once more; but only where a figure says
/// that a channel was lost: most runs need no such look.
/// </remarks>
internal static class DetachedSpans
{
    /// <summary>What a figure says whose channel gave readings, but none to judge by.</summary>
    private const string Unjudged = "badQuality";

    /// <summary>What a run's note begins with; runs that were judged by older rules do not have it.</summary>
    private const string Detached = "detached/";

    public static IReadOnlyList<GapSpan> Of(CellHost host, RunRow run, CellDefinition cell, CancellationToken gone)
    {
        if (host.OpenRun(run.Number) is { } open)
        {
            return [.. open.Gaps.Where(IsDetached)];
        }

        if (run.End is not { } end || !run.Notes.Any(note => note.StartsWith(Detached, StringComparison.Ordinal)) && !run.Figures.Any(figure => figure.Reason == Unjudged))
        {
            return [];
        }

        IReadOnlyList<GapSpan> found = [];
        var stored = new StoredRun(run.Number, run.Carrier, run.Start, end) { Kind = run.Kind, EndReason = run.EndReason ?? "", Recipe = run.Recipe, Notes = run.Notes };
        var engine = new StoredRuns(cell, [stored], (_, picture) => found = [.. picture.Gaps.Where(IsDetached)]);
        foreach (JournalEntry entry in host.ReadFrom(run.FirstSequence))
        {
            gone.ThrowIfCancellationRequested();
            if (engine.IsDone)
            {
                break;
            }

            if (entry is InputEntry { Input: var input } && !(input is ScanInput { Scan: var scan } && !IsOf(cell, scan)))
            {
                engine.Take(input);
            }
        }

        engine.Finish();
        return found;
    }

    private static bool IsDetached(GapSpan gap) => gap.Reason == QualityReason.Detached;

    private static bool IsOf(CellDefinition cell, RawScan scan) =>
        scan.DeviceIndex < cell.Devices.Count && scan.Values.Length == cell.Devices[scan.DeviceIndex].Points.Count;
}
