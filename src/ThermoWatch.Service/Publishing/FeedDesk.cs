using ThermoWatch.Domain.Engine;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Publishing;

/// <summary>A feed and the cells that it tells of.</summary>
/// <param name="Feed">The feed.</param>
/// <param name="Cells">Numbers of its cells.</param>
internal sealed record RunningFeed(Feed Feed, IReadOnlyCollection<int> Cells);

/// <summary>The feeds of a node: runs them beside the cell loops, and tells each cell when one of its feeds is late.</summary>
internal sealed class FeedDesk : IAsyncDisposable
{
    private static readonly TimeSpan WatchPeriod = TimeSpan.FromSeconds(1);
    private const string Condition = "feed";
    private int _let;
    private readonly TimeProvider _time;
    private readonly Dictionary<int, bool> _said = [];

    public FeedDesk(
        IReadOnlyList<FeedConfiguration> feeds, IReadOnlyList<(CellDefinition Cell, CellJournal Journal)> cells, RunCatalogue catalogue, string dataFolder,
        TimeProvider time, ILogger log)
    {
        _time = time;
        int seed = 0;
        foreach (FeedConfiguration configured in feeds)
        {
            (CellDefinition Cell, CellJournal Journal)[] fed = [.. cells.Where(c => configured.Cells.Count == 0 || configured.Cells.Contains(c.Cell.Number))];
            int[] numbers = [.. fed.Select(c => c.Cell.Number)];
            List<IFeedLane> lanes = [];
            if (configured.SendsReadings)
            {
                lanes.AddRange(fed.Select(c => new JournalLane(c.Cell.Number, c.Journal)));
            }

            lanes.Add(new EventLane(dataFolder, catalogue, numbers));
            string folder = Path.Combine(dataFolder, "feeds", configured.Options.Id);
            var context = new FeedContext([.. fed.Select(c => c.Cell)], folder, time);
            Feeds.Add(new RunningFeed(
                new Feed(configured.Options, lanes, configured.Target(context), new FeedFolder(folder), time, new Random(++seed), words => Log.FeedSays(log, words)), numbers));
        }
    }

    /// <summary>In the order of the configuration.</summary>
    public List<RunningFeed> Feeds { get; } = [];

    public RunningFeed? Find(string id) => Feeds.Find(f => f.Feed.Options.Id == id);

    /// <summary>Feeds and watches until the service stops.</summary>
    public async Task RunAsync(IReadOnlyList<CellHost> hosts, CancellationToken stopping)
    {
        Task[] feeding = [.. Feeds.Select(f => Task.Run(() => f.Feed.RunAsync(stopping), CancellationToken.None))];
        using var timer = new PeriodicTimer(WatchPeriod, _time);
        try
        {
            do
            {
                foreach (CellHost host in hosts)
                {
                    Watch(host);
                }
            }
            while (await timer.WaitForNextTickAsync(stopping));
        }
        catch (OperationCanceledException)
        {
            // Stopping.
        }

        await Task.WhenAll(feeding);
    }

    public async ValueTask DisposeAsync()
    {
        if (Interlocked.Exchange(ref _let, 1) == 1)
        {
            return; // the node lets them go before the record closes, and the pages' host once more
        }

        foreach (RunningFeed feed in Feeds)
        {
            await feed.Feed.DisposeAsync();
        }
    }

    /// <summary>Tells the cell when a feed of its own is later than it may be, and when that is over.</summary>
    private void Watch(CellHost host)
    {
        int cell = host.Definition.Number;
        Feed? late = Feeds.Where(f => f.Cells.Contains(cell) && f.Feed.Status.Lag >= f.Feed.Options.AlarmAfter).Select(f => f.Feed).MaxBy(f => f.Status.Lag - f.Options.AlarmAfter);
        // After a start nobody knows what was said before it: an alarm that stood may be over, or its feed gone.
        bool before = _said.TryGetValue(cell, out bool said) ? said : host.HasAlarm(Condition + "/cell");
        if (before == late is not null)
        {
            return;
        }

        if (host.TryTake(now => new ReportInput(now, Condition, late is not null, late?.Status.Lag.TotalSeconds, late?.Options.AlarmAfter.TotalSeconds)))
        {
            _said[cell] = late is not null;
        }
    }
}
