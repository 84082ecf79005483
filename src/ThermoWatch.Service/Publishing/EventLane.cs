using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;

namespace ThermoWatch.Service.Publishing;

/// <summary>The chain of events as a feed reads it: runs and alarms, in the order in which they were written down.</summary>
/// <param name="dataFolder">The data folder.</param>
/// <param name="catalogue">Knows the newest line.</param>
/// <param name="cells">Cells whose events are sent.</param>
internal sealed class EventLane(string dataFolder, RunCatalogue catalogue, IReadOnlyList<CellDefinition> cells) : IFeedLane
{
    public string Name => "events";

    public long End => catalogue.ChainHead.Number;

    public long Settled => End; // a line is flushed before anybody sees it

    public IFeedReader Open() => new Reader(this);

    public (long After, long Through) Span(Timestamp from, Timestamp? to)
    {
        long after = 0, through = End;
        foreach (RecordedEvent line in new EventRecord(dataFolder).ReadAfter(0))
        {
            // An alarm's step is written a moment after it happened.
            if (line.Time < from)
            {
                after = line.Number;
            }

            if (to is { } until && line.Time > until + TimeSpan.FromMinutes(1))
            {
                return (after, line.Number);
            }
        }

        return (after, through);
    }

    private sealed class Reader(EventLane lane) : IFeedReader
    {
        private readonly EventRecord _record = new(lane.Folder);

        public FeedBatch Read(long after, long through, int mostReadings)
        {
            List<FeedItem> items = [];
            int weight = 0;
            long at = after;
            foreach (RecordedEvent line in _record.ReadAfter(after))
            {
                at = line.Number;
                if (lane.Cells.FirstOrDefault(c => c.Number == line.Cell) is { } cell && ItemOf(line, cell) is { } item)
                {
                    items.Add(item);
                    weight += item.Weight;
                }

                if (at >= through || weight >= mostReadings)
                {
                    break;
                }
            }

            return new FeedBatch(lane.Name, items, at);
        }

        public void Dispose()
        {
            // The file is open only while it is read.
        }

        private static FeedItem? ItemOf(RecordedEvent line, CellDefinition cell) =>
            line.Alarm is { } alarm ? new AlarmItem(line.Cell, alarm, cell)
            : line.Run is { } run ? new RunItem(FedRunOf(run), run.End ?? run.Start)
            : null;

        private static FedRun FedRunOf(RunRow run) => new()
        {
            Cell = run.Cell,
            Number = run.Number,
            Carrier = run.Carrier,
            Kind = run.Kind,
            Start = run.Start,
            End = run.End,
            SpecName = run.SpecName,
            SpecVersion = run.SpecVersion,
            Verdict = run.Verdict,
            Reasons = run.Reasons,
            Figures = run.Figures,
        };
    }

    private string Folder => dataFolder;

    private IReadOnlyList<CellDefinition> Cells => cells;
}
