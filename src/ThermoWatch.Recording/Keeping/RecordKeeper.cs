using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Keeping;

/// <summary>What leaves the record by rule. Only time between runs ever does: a run, its readings and events stay until somebody decides otherwise.</summary>
public sealed record KeepingRules
{
    /// <summary>Time between runs that is older than this leaves; null: age is no reason.</summary>
    public TimeSpan? IdleAge { get; init; }

    /// <summary>While less than this is free, the oldest time between runs leaves, bytes; null: room is no reason.</summary>
    public long? LeastFreeBytes { get; init; }

    /// <summary>Younger than this nothing leaves, whatever the room: restarts and people looking back need it.</summary>
    public TimeSpan Always { get; init; } = TimeSpan.FromDays(1);

    /// <summary>Room for fewer days than this is little.</summary>
    public double FewDays { get; init; } = 14;

    /// <summary>Less free than this is little, bytes.</summary>
    public long LittleBytes { get; init; } = 1L << 30;
}

/// <summary>How much room is left.</summary>
/// <param name="FreeBytes">Free on the disk of the data folder, bytes.</param>
/// <param name="BytesPerDay">What the record has grown by in a day lately, bytes; null while there is less than an hour to tell it from.</param>
/// <param name="DaysLeft">For how many days the room will do if that goes on; null while nobody can tell.</param>
/// <param name="IsLow">Whether that is little: somebody should make room.</param>
public sealed record RecordSpace(long FreeBytes, double? BytesPerDay, double? DaysLeft, bool IsLow);

/// <summary>Watches the room that a node's record has, and lets go of what nobody needs.</summary>
/// <remarks>What leaves is first noted in the chain of events, with its reason; <c>verify</c> accepts no gap that is not.</remarks>
public sealed class RecordKeeper
{
    private static readonly TimeSpan Lately = TimeSpan.FromDays(7), Enough = TimeSpan.FromHours(1);

    private readonly RunCatalogue _catalogue;
    private readonly IReadOnlyList<(int Cell, CellJournal Journal)> _cells;
    private readonly TimeProvider _time;
    private readonly KeepingRules _rules;
    private readonly Func<long> _freeBytes;
    private readonly Lock _gate = new(); // one thing leaves at a time

    /// <summary>Keeps the record of a folder.</summary>
    /// <param name="data">The data folder.</param>
    /// <param name="catalogue">Its runs.</param>
    /// <param name="cells">Its cells' journals.</param>
    /// <param name="time">Ages are told by it.</param>
    /// <param name="rules">What leaves.</param>
    public RecordKeeper(string data, RunCatalogue catalogue, IReadOnlyList<(int Cell, CellJournal Journal)> cells, TimeProvider time, KeepingRules rules)
        : this(catalogue, cells, time, rules, () => new DriveInfo(Path.GetFullPath(data)).AvailableFreeSpace)
    {
    }

    internal RecordKeeper(RunCatalogue catalogue, IReadOnlyList<(int Cell, CellJournal Journal)> cells, TimeProvider time, KeepingRules rules, Func<long> freeBytes) =>
        (_catalogue, _cells, _time, _rules, _freeBytes) = (catalogue, cells, time, rules, freeBytes);

    private Timestamp Now => Timestamp.From(_time.GetUtcNow());

    /// <summary>How much room is left now.</summary>
    /// <exception cref="IOException">The disk cannot be asked.</exception>
    public RecordSpace Look()
    {
        Timestamp since = Now - Lately;
        SealedStretch[] recent = [.. _cells.SelectMany(cell => cell.Journal.SealedStretches()).Where(block => block.Earliest >= since && !block.IsRemoved)];
        TimeSpan span = recent.Length == 0 ? TimeSpan.Zero : recent.Max(block => block.Latest) - recent.Min(block => block.Earliest);
        double? perDay = span < Enough ? null : recent.Sum(block => block.Bytes) / span.TotalDays;
        long free = _freeBytes();
        double? days = perDay > 0 ? free / perDay : null;
        return new RecordSpace(free, perDay, days, free < _rules.LittleBytes || days < _rules.FewDays);
    }

    /// <summary>Lets time between runs go, by age and by room. Only once the catalogue has all runs again: one that it does not know passes for idle time.</summary>
    /// <returns>Bytes that went back to the disk.</returns>
    /// <exception cref="IOException">The disk refuses; what was noted and did not go is found by the next call.</exception>
    public long RemoveIdle(CancellationToken stop = default)
    {
        using Lock.Scope alone = _gate.EnterScope();
        List<(int Cell, CellJournal Journal, SealedStretch Block)> idle = [.. _cells.SelectMany(cell => Idle(cell.Cell, cell.Journal).Select(block => (cell.Cell, cell.Journal, block)))];
        idle.Sort((a, b) => a.Block.Latest.CompareTo(b.Block.Latest));
        long given = 0, free = _freeBytes();
        foreach ((int cell, CellJournal journal, SealedStretch block) in idle)
        {
            stop.ThrowIfCancellationRequested();
            bool isOld = _rules.IdleAge is { } age && block.Latest < Now - age;
            if (!isOld && !(free + given < _rules.LeastFreeBytes))
            {
                continue;
            }

            string why = isOld ? $"idle for more than {_rules.IdleAge!.Value.TotalDays:0.#} days ago" : $"idle, and less than {_rules.LeastFreeBytes} bytes free";
            given += Remove(cell, journal, block, "thermowatch", why, null);
        }

        return given;
    }

    /// <summary>What would be lost if a run's readings were taken out of the record now.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="number">Number of the run.</param>
    public RunRemoval PlanRemoval(int cell, long number) => Plan(cell, number).Removal;

    /// <summary>Takes a run's readings out of the record, because an administrator has decided so. Its row, figures and events stay, and the decision with them.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="number">Number of the run.</param>
    /// <param name="who">The administrator.</param>
    /// <param name="station">Where the decision was made.</param>
    /// <param name="reason">Why, in that person's words.</param>
    /// <returns>Null when it is done; else why it cannot be.</returns>
    /// <exception cref="IOException">The disk refuses; asked again, it goes on where it stopped.</exception>
    public string? RemoveRun(int cell, long number, string who, string station, string reason)
    {
        if (string.IsNullOrWhiteSpace(who) || string.IsNullOrWhiteSpace(reason))
        {
            return "A run leaves the record only by somebody and for a reason: give both.";
        }

        using Lock.Scope alone = _gate.EnterScope();
        (RunRemoval plan, CellJournal? journal, SealedStretch[] blocks) = Plan(cell, number);
        if (plan.Problem is not null || journal is null)
        {
            return plan.Problem;
        }

        _catalogue.Audit(new AuditEntry(Now, who, station, AuditActions.RunRemoved, $"cell {cell} run {number}", $"entries {plan.FirstSequence} to {plan.LastSequence}", null, reason));
        foreach (SealedStretch block in blocks)
        {
            Remove(cell, journal, block, who, reason, number);
        }

        return null;
    }

    private (RunRemoval Removal, CellJournal? Journal, SealedStretch[] Blocks) Plan(int cell, long number)
    {
        if (_cells.FirstOrDefault(candidate => candidate.Cell == cell).Journal is not { } journal || _catalogue.Find(cell, number) is not { } run)
        {
            return (RunRemoval.Refused(cell, number, $"Cell {cell} has no run {number}."), null, []);
        }

        SealedStretch[] blocks = [.. journal.SealedStretches()];
        if (run.LastSequence is not { } last || blocks.Length == 0 || blocks[^1].LastSequence <= last)
        {
            return (RunRemoval.Refused(cell, number, $"Run {number} is not over, or not sealed yet. Wait until the next run has begun."), null, []);
        }

        List<(long First, long Last)> others = [.. _catalogue.RunSpans(cell).Where(span => span.Number != number).Select(span => (span.FirstSequence, span.LastSequence ?? long.MaxValue))];
        if (others.Exists(span => span.First <= last && span.Last == long.MaxValue) || !(journal.LatestSnapshot(new Timestamp(long.MaxValue))?.Sequence > last))
        {
            return (RunRemoval.Refused(cell, number, $"A restart would still need the entries of run {number}. Wait until the next run has ended."), null, []);
        }

        SealedStretch[] going = [.. blocks.Where(block => !block.IsRemoved && block.LastSequence >= run.FirstSequence && block.FirstSequence <= last
            && !others.Exists(span => block.LastSequence >= span.First && block.FirstSequence <= span.Last))];
        if (going.Length == 0)
        {
            return (RunRemoval.Refused(cell, number, $"Nothing of run {number} is left to be taken out: it has left the record already, or shares all its blocks with other runs."), null, []);
        }

        long staying = blocks.Where(block => !block.IsRemoved).Except(going).Sum(block => Math.Max(0, Math.Min(last, block.LastSequence) - Math.Max(run.FirstSequence, block.FirstSequence) + 1));
        return (new RunRemoval(cell, number, null, run.Start, run.End, run.FirstSequence, last,
            going.Sum(block => block.LastSequence - block.FirstSequence + 1), going.Sum(block => block.Bytes), staying), journal, going);
    }

    private long Remove(int cell, CellJournal journal, SealedStretch block, string who, string why, long? run)
    {
        _catalogue.SaveRemoval(new RemovedEntriesNote(cell, block.FirstSequence, block.LastSequence, Now, who, why, run));
        return journal.Remove(block.FirstSequence);
    }

    /// <summary>Blocks that may go: no run is in them, nor needs one of them to be lived through again from a snapshot.</summary>
    private IEnumerable<SealedStretch> Idle(int cell, CellJournal journal)
    {
        SealedStretch[] blocks = [.. journal.SealedStretches()];
        var isNeeded = new bool[blocks.Length];
        void Need(int from, int to)
        {
            for (int i = Math.Max(0, from); i <= Math.Min(to, blocks.Length - 1); i++)
            {
                isNeeded[i] = true;
            }
        }

        foreach ((_, long first, long? last) in _catalogue.RunSpans(cell))
        {
            int start = Array.FindIndex(blocks, block => block.LastSequence >= first);
            int end = last is { } known ? Array.FindLastIndex(blocks, block => block.FirstSequence <= known) : blocks.Length - 1;
            if (start >= 0)
            {
                Need(Array.FindLastIndex(blocks, Math.Max(0, start - 1), block => block.HasSnapshot) is var snapshot && snapshot >= 0 ? snapshot : start, end);
            }
        }

        int newestSnapshot = Array.FindLastIndex(blocks, block => block.HasSnapshot);
        Need(newestSnapshot < 0 ? 0 : newestSnapshot, blocks.Length - 1);
        Timestamp young = Now - _rules.Always;
        return blocks.Where((block, i) => !isNeeded[i] && !block.IsRemoved && block.Latest < young);
    }
}
