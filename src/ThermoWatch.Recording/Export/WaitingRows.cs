using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Export;

/// <summary>Rows of an export that a later reading may still call a spike; as the engine and the pages find them, by the same rule.</summary>
internal sealed class WaitingRows(IReadOnlyList<ExportColumn> columns)
{
    /// <summary>A spike's neighbours are no further apart, so what is older than this is as it will stay.</summary>
    private const long MostTicks = (long)SpikeRule.MostSeconds * Timestamp.TicksPerSecond;

    private readonly SpikeMarker[] _spikes = new SpikeMarker[columns.Count];
    private readonly LinkedList<ExportRow> _rows = [];
    private readonly Stack<ExportRow> _free = [];

    /// <summary>A row to fill; no column is in its scan yet.</summary>
    public ExportRow Next(long sequence, Timestamp time)
    {
        ExportRow row = _free.TryPop(out ExportRow used) ? used with { Sequence = sequence, Time = time }
            : new ExportRow(sequence, time, new Reading[columns.Count], new double[columns.Count], new bool[columns.Count]);
        Array.Clear(row.IsInScan);
        return row;
    }

    /// <summary>Lets a row say which readings before it were spikes.</summary>
    public void Judge(ExportRow row)
    {
        for (int column = 0; column < _spikes.Length; column++)
        {
            if (row.IsInScan[column] && _spikes[column].Offer(row.Readings[column]) is { } spike)
            {
                Mark(column, spike);
            }
        }
    }

    /// <summary>Puts a row behind the others.</summary>
    public void Add(ExportRow row) => _rows.AddLast(row);

    /// <summary>Takes the oldest row if nothing read from a moment on can change it; null: nothing more is read.</summary>
    /// <remarks>A clock that was set back holds up nobody: what lies further in its future has no neighbour here either.</remarks>
    public bool TryTake(Timestamp? now, out ExportRow row)
    {
        row = _rows.First?.Value ?? default;
        if (_rows.First is null || (now is { } moment && Math.Abs(moment.UtcTicks - row.Time.UtcTicks) <= MostTicks))
        {
            return false;
        }

        _rows.RemoveFirst();
        return true;
    }

    /// <summary>Its arrays may be used again.</summary>
    public void GiveBack(ExportRow row) => _free.Push(row);

    /// <summary>What comes next is of these channels, and has nothing to do with what came.</summary>
    /// <param name="cell">How the cell is wired from here on.</param>
    /// <param name="map">Columns, and the places of their channels in the cell.</param>
    public void Wire(CellDefinition cell, IEnumerable<(int Column, int Channel)> map)
    {
        foreach ((int column, int channel) in map)
        {
            _spikes[column] = new SpikeMarker(cell.Channels[channel]);
        }
    }

    /// <summary>A spike shows beside its follower, so its row is one of the last.</summary>
    private void Mark(int column, Reading spike)
    {
        for (LinkedListNode<ExportRow>? node = _rows.Last; node is not null && node.Value.Time >= spike.Time; node = node.Previous)
        {
            ExportRow row = node.Value;
            if (row.Time == spike.Time && row.IsInScan[column])
            {
                if (SpikeRule.MayBeJudged(row.Readings[column].Quality))
                {
                    row.Readings[column] = row.Readings[column] with { Quality = spike.Quality };
                }

                return;
            }
        }
    }
}
