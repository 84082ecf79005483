using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Cells;

/// <summary>Finds from when on a thermocouple of a run no longer showed what it measured, as the engine found it live.</summary>
/// <remarks>
/// The record holds what was read, not what was thought of it, so the run is lived through once more; but only where its note or a
/// figure says that a channel was lost: most runs need no such look.
/// </remarks>
internal static class DetachedSpans
{
    /// <summary>What a figure says whose channel gave readings, but none to judge by.</summary>
    private const string Unjudged = "badQuality";

    /// <summary>What a run's note begins with; runs that were judged by older rules do not have it.</summary>
    private const string Detached = "detached/";

    /// <summary>Those of a run in the catalogue, each with its end. Of a run that has not ended nothing was noted yet: it is always looked at.</summary>
    /// <param name="run">The run.</param>
    /// <param name="cell">The cell as it was wired then.</param>
    /// <param name="readFrom">The record from an entry on.</param>
    /// <param name="gone">Ends it early.</param>
    /// <exception cref="OperationCanceledException">It was ended early.</exception>
    public static IReadOnlyList<GapSpan> Of(RunRow run, CellDefinition cell, Func<long, IEnumerable<JournalEntry>> readFrom, CancellationToken gone)
    {
        if (!MayHold(run))
        {
            return [];
        }

        Timestamp end = run.End ?? LastOf(readFrom(run.FirstSequence), run.Start, gone);
        IReadOnlyList<GapSpan> found = [];
        var stored = new StoredRun(run.Number, run.Carrier, run.Start, end) { Kind = run.Kind, EndReason = run.EndReason ?? "", Recipe = run.Recipe, Notes = run.Notes };
        var engine = new StoredRuns(cell, [stored], (_, picture) => found = Among(picture.Gaps, end));
        foreach (JournalEntry entry in readFrom(run.FirstSequence))
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

    /// <summary>Those among the gaps of a run.</summary>
    /// <param name="gaps">The gaps.</param>
    /// <param name="end">Where the run ends; null while it goes on.</param>
    public static IReadOnlyList<GapSpan> Among(IEnumerable<GapSpan> gaps, Timestamp? end) =>
        [.. gaps.Where(gap => gap.Reason == QualityReason.Detached).Select(gap => gap with { End = gap.End ?? end })];

    /// <summary>Whether a run must be lived through to know.</summary>
    public static bool MayHold(RunRow run) => run.End is null
        || run.Notes.Any(note => note.StartsWith(Detached, StringComparison.Ordinal))
        || run.Figures.Any(figure => figure.Reason == Unjudged);

    private static Timestamp LastOf(IEnumerable<JournalEntry> entries, Timestamp start, CancellationToken gone)
    {
        Timestamp last = start;
        foreach (JournalEntry entry in entries)
        {
            gone.ThrowIfCancellationRequested();
            last = entry is InputEntry { Input: ScanInput scan } && scan.Time > last ? scan.Time : last;
        }

        return last;
    }

    private static bool IsOf(CellDefinition cell, RawScan scan) =>
        scan.DeviceIndex < cell.Devices.Count && scan.Values.Length == cell.Devices[scan.DeviceIndex].Points.Count;
}
