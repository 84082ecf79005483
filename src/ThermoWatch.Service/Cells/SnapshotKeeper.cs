using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Cells;

/// <summary>Keeps snapshots of the engine in the journal, so that a restart replays minutes, not years.</summary>
internal sealed class SnapshotKeeper
{
    // Only while no run is open: a snapshot must lie at or before the start of every open run,
    // so that the run can be rebuilt, and shown, from its beginning.
    private static readonly TimeSpan Between = TimeSpan.FromMinutes(2);
    private readonly CellJournal _journal;
    private Timestamp? _last;

    public SnapshotKeeper(CellJournal journal) => _journal = journal;

    public JournalSnapshot? Latest() => _journal.LatestSnapshot(new Timestamp(long.MaxValue));

    public void TakeWhenQuiet(CellEngine engine, Timestamp now)
    {
        _last ??= now;
        if (engine.AnyRunOpen || now - _last.Value < Between)
        {
            return;
        }

        _last = now;
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        engine.Save(writer);
        _journal.AppendSnapshot(now, stream.GetBuffer().AsSpan(0, (int)stream.Length));
    }
}
