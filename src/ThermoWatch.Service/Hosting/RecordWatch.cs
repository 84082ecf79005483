using Microsoft.Data.Sqlite;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Keeping;

namespace ThermoWatch.Service.Hosting;

/// <summary>How recording stands, for whoever shows it or makes an alarm of it.</summary>
/// <param name="State">Worst of the cells.</param>
/// <param name="Reason">What the disk said; empty while recording.</param>
/// <param name="WaitingEntries">Entries that are only in memory.</param>
/// <param name="NotRecorded">Entries that were lost since the start.</param>
/// <param name="SealProblem">Why closed files could not be sealed; null if none failed.</param>
/// <param name="Space">Room left; null while the disk cannot be asked.</param>
internal sealed record RecordingStatus(JournalState State, string Reason, long WaitingEntries, long NotRecorded, string? SealProblem, RecordSpace? Space);

/// <summary>Looks after the record beside the cell loops, which say themselves when recording stands still: tells how it stands, says when room runs out, and lets idle time go by rule.</summary>
internal sealed class RecordWatch(IReadOnlyList<CellJournal> journals, RecordKeeper keeper, TimeProvider time, ILogger log)
{
    private static readonly TimeSpan Period = TimeSpan.FromSeconds(10), KeepingPeriod = TimeSpan.FromMinutes(10);

    private volatile RecordingStatus _current = new(JournalState.Recording, "", 0, 0, null, null);

    /// <summary>How recording stands now; at most ten seconds old.</summary>
    public RecordingStatus Current => _current;

    /// <summary>Watches until the service stops.</summary>
    public async Task RunAsync(CancellationToken stopping)
    {
        using var timer = new PeriodicTimer(Period, time);
        long kept = time.GetTimestamp();
        try
        {
            do
            {
                Look();
                if (time.GetElapsedTime(kept) >= KeepingPeriod)
                {
                    kept = time.GetTimestamp();
                    Keep(stopping);
                }
            }
            while (await timer.WaitForNextTickAsync(stopping));
        }
        catch (OperationCanceledException)
        {
            // Stopping.
        }
    }

    internal void Look()
    {
        JournalHealth[] healths = [.. journals.Select(journal => journal.Health)];
        JournalHealth worst = healths.MaxBy(health => health.State) ?? new JournalHealth(JournalState.Recording, "", null, 0, 0);
        RecordSpace? space = null;
        try
        {
            space = keeper.Look();
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // The journals' own state says that the disk is gone.
        }

        var now = new RecordingStatus(worst.State, worst.Reason, healths.Sum(health => health.WaitingEntries), healths.Sum(health => health.NotRecorded),
            journals.Select(journal => journal.SealProblem).FirstOrDefault(problem => problem is not null), space);
        RecordingStatus before = _current;
        _current = now;
        if (space is { IsLow: true } && before.Space is not { IsLow: true })
        {
            Log.RoomLow(log, space.FreeBytes >> 20, space.DaysLeft is { } days ? $"{days:0} days" : "nobody can tell yet how long");
        }
    }

    private void Keep(CancellationToken stopping)
    {
        try
        {
            long given = keeper.RemoveIdle(stopping);
            if (given > 0)
            {
                Log.IdleRemoved(log, given);
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or SqliteException)
        {
            Log.KeepingFault(log, fault.Message);
        }
    }
}
