using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Cells;

/// <summary>
/// Finds the journal entry at which a moment of the last minutes stands: a run's start is known only after it has begun.
/// </summary>
internal sealed class SequenceIndex
{
    // A start is dated back by at most the minute over which the rise is looked for, plus the rise itself.
    private static readonly TimeSpan Kept = TimeSpan.FromMinutes(5);
    private readonly Queue<(Timestamp Time, long Sequence)> _entries = new();

    public void Add(Timestamp time, long sequence)
    {
        _entries.Enqueue((time, sequence));
        while (time - _entries.Peek().Time > Kept)
        {
            _entries.Dequeue();
        }
    }

    /// <summary>First entry at or after a moment; the oldest kept one if it lies before them all; 0 if there are none.</summary>
    public long At(Timestamp moment)
    {
        foreach ((Timestamp time, long sequence) in _entries)
        {
            if (time >= moment)
            {
                return sequence;
            }
        }

        return _entries.Count > 0 ? _entries.Last().Sequence : 0;
    }
}
