using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Publishing;

/// <summary>A cell's journal as a feed reads it: scans, converted by the same code that made them live, and what became of its devices.</summary>
internal sealed class JournalLane(int cell, CellJournal journal) : IFeedLane
{
    public string Name { get; } = FormattableString.Invariant($"cell-{cell}");

    public long End => journal.LastSequence;

    public long Settled => journal.SyncedSequence;

    public IFeedReader Open() => new Reader(Name, journal);

    public (long After, long Through) Span(Timestamp from, Timestamp? to)
    {
        (long first, long last) = journal.SpanOf(from, to);
        return (first - 1, last);
    }

    private sealed class Reader(string name, CellJournal journal) : IFeedReader
    {
        /// <summary>What a reading is worth depends on its cold junction and its neighbours in time: reading begins so much earlier.</summary>
        private static readonly TimeSpan LeadIn = TimeSpan.FromSeconds(10);

        private IEnumerator<(CellDefinition? Cell, JournalEntry Entry)>? _entries;
        private long _at = -1;
        private CellDefinition? _cell;
        private CellConverter? _converter;
        private Reading[] _readings = [];
        private int[][] _channelsOfDevice = [];

        public FeedBatch Read(long after, long through, int mostReadings)
        {
            if (_at != after)
            {
                Begin(after);
            }

            List<FeedItem> items = [];
            int weight = 0;
            bool again = _entries is not null; // an enumerator that has come to its end sees nothing that was written since
            while (_at < through && weight < mostReadings)
            {
                _entries ??= journal.ReadWiredFrom(_at + 1, _cell).GetEnumerator();
                if (!_entries.MoveNext())
                {
                    End();
                    if (!again)
                    {
                        break;
                    }

                    again = false;
                    continue;
                }

                (CellDefinition? cell, JournalEntry entry) = _entries.Current;
                _at = entry is MissingEntries missing ? missing.LastSequence : entry.Sequence;
                if (Convert(cell, entry) is { } item)
                {
                    items.Add(item);
                    weight += item.Weight;
                }
            }

            return new FeedBatch(name, items, _at);
        }

        public void Dispose() => End();

        private void Begin(long after)
        {
            End();
            (_cell, _converter) = (null, null);
            long lead = journal.DefinitionAt(Math.Max(1, after))?.Devices.Sum(device => (long)Math.Ceiling(LeadIn / device.Period) + 1) ?? 0;
            foreach ((CellDefinition? cell, JournalEntry entry) in journal.ReadWiredFrom(Math.Max(1, after + 1 - lead)).TakeWhile(e => e.Entry.Sequence <= after))
            {
                Convert(cell, entry);
            }

            _at = after;
        }

        private void End()
        {
            _entries?.Dispose();
            _entries = null;
        }

        private FeedItem? Convert(CellDefinition? cell, JournalEntry entry)
        {
            if (cell is not null && entry is InputEntry { Input: DeviceStateInput state })
            {
                return new DeviceItem(cell, state.DeviceIndex, state.State, state.Time);
            }

            if (cell is null || entry is not InputEntry { Input: ScanInput { Scan: var scan } })
            {
                return null;
            }

            if (!ReferenceEquals(cell, _cell))
            {
                Wire(cell);
            }

            if (scan.DeviceIndex >= _cell!.Devices.Count || scan.Values.Length != _cell.Devices[scan.DeviceIndex].Points.Count)
            {
                return null;
            }

            _converter!.Convert(scan, _readings);
            int[] channels = _channelsOfDevice[scan.DeviceIndex];
            if (channels.Length == 0)
            {
                return null;
            }

            var readings = new Reading[channels.Length];
            for (int i = 0; i < channels.Length; i++)
            {
                readings[i] = _readings[channels[i]];
            }

            return new ScanItem(_cell, entry.Sequence, scan.Time, channels, readings);
        }

        private void Wire(CellDefinition cell)
        {
            _cell = cell;
            _converter = new CellConverter(cell);
            _readings = new Reading[cell.Channels.Count];
            _channelsOfDevice = [.. cell.Devices.Select(device =>
                Enumerable.Range(0, cell.Channels.Count).Where(i => cell.Channels[i].Device == device.Id).ToArray())];
        }
    }
}
