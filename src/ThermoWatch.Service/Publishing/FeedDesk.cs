using ThermoWatch.Domain.Alarms.Words;
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
internal sealed record RunningFeed(Feed Feed, IReadOnlyCollection<int> Cells)
{
    /// <summary>How finely its times are sent.</summary>
    public TimeSpan Step { get; init; } = FeedStep.Full.Length;

    /// <summary>Devices whose scans may lie closer together than that.</summary>
    public IReadOnlyList<CloseDevice> CloseDevices { get; init; } = [];

    /// <summary>How late it was in the last hour.</summary>
    public LagHistory Lags { get; } = new();
}

/// <summary>The feeds of a node: runs them beside the cell loops, and tells each cell when one of its feeds is late, or was refused lines.</summary>
internal sealed class FeedDesk : IAsyncDisposable
{
    private static readonly TimeSpan WatchPeriod = TimeSpan.FromSeconds(1);

    /// <summary>A number that grows is told again, but not with every line.</summary>
    private static readonly TimeSpan TellAgainAfter = TimeSpan.FromSeconds(30);

    private const string Late = "feed", Rejected = "feedRejected";
    private int _let;
    private readonly TimeProvider _time;
    private readonly Dictionary<(int Cell, string Condition), Said> _said = [];

    public FeedDesk(
        IReadOnlyList<FeedConfiguration> feeds, IReadOnlyList<(CellConfiguration Cell, CellJournal Journal)> cells, RunCatalogue catalogue, string dataFolder,
        TimeProvider time, ILogger log)
    {
        _time = time;
        int seed = 0;
        foreach (FeedConfiguration configured in feeds)
        {
            (CellDefinition Cell, CellJournal Journal)[] fed =
                [.. cells.Select(c => (c.Cell.Definition, c.Journal)).Where(c => configured.Cells.Count == 0 || configured.Cells.Contains(c.Definition.Number))];
            int[] numbers = [.. fed.Select(c => c.Cell.Number)];
            List<IFeedLane> lanes = [];
            if (configured.SendsReadings)
            {
                lanes.AddRange(fed.Select(c => new JournalLane(c.Cell.Number, c.Journal)));
            }

            lanes.Add(new EventLane(dataFolder, catalogue, [.. fed.Select(c => c.Cell)]));
            string folder = Path.Combine(dataFolder, "feeds", configured.Options.Id);
            var context = new FeedContext([.. fed.Select(c => c.Cell)], folder, time);
            Feeds.Add(new RunningFeed(
                new Feed(configured.Options, lanes, configured.Target(context), new FeedFolder(folder), time, new Random(++seed), words => Log.FeedSays(log, words)), numbers)
            {
                Step = configured.Step.Length,
                CloseDevices = FeedSteps.CloseDevices(configured, cells.Select(c => c.Cell)),
            });
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
                foreach (RunningFeed running in Feeds)
                {
                    FeedStatus status = running.Feed.Status;
                    running.Lags.Take(_time.GetUtcNow(), status.Lag, status.BacklogEntries);
                }

                foreach (CellHost host in hosts)
                {
                    Feed[] feeds = [.. Feeds.Where(f => f.Cells.Contains(host.Definition.Number)).Select(f => f.Feed)];
                    Feed? late = feeds.Where(f => f.Status.Lag >= f.Options.AlarmAfter).MaxBy(f => f.Status.Lag - f.Options.AlarmAfter);
                    FeedStatus[] refused = [.. feeds.Select(f => f.Status).Where(s => s.Quarantine.IsNew)];
                    Explain(host, late, refused);
                    WatchLag(host, late);
                    WatchQuarantine(host, refused);
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
    private void WatchLag(CellHost host, Feed? late) =>
        Tell(host, Late, late is not null, late?.Status.Lag.TotalSeconds, late?.Options.AlarmAfter.TotalSeconds, tellsAgain: false);

    /// <summary>Tells the cell when a target has refused lines that nobody has seen yet, how many stand there, and when that is over.</summary>
    private void WatchQuarantine(CellHost host, FeedStatus[] refused) =>
        Tell(host, Rejected, refused.Length > 0, refused.Length > 0 ? refused.Sum(s => s.Quarantine.Lines) : null, null, tellsAgain: true);

    /// <summary>Which feeds that is, and what the target said last: for the alarm's text, and no part of what is judged.</summary>
    private static void Explain(CellHost host, Feed? late, FeedStatus[] refused)
    {
        host.Explain(Late, late is null ? null : AlarmSource.Of(late.Options.Id));
        host.Explain(
            Rejected,
            refused.MaxBy(s => s.Quarantine.Last) is { } newest ? AlarmSource.Of(string.Join(", ", refused.Select(s => s.Id)), newest.Quarantine.Words) : null);
    }

    private void Tell(CellHost host, string condition, bool holds, double? value, double? limit, bool tellsAgain)
    {
        (int Cell, string Condition) key = (host.Definition.Number, condition);
        // After a start nobody knows what was said before it: an alarm that stood may be over, or its feed gone.
        bool known = _said.TryGetValue(key, out Said? said);
        bool before = known ? said!.Holds : host.HasAlarm(condition + "/cell");
        bool grown = tellsAgain && holds && before && value != said?.Value && (said is null || _time.GetElapsedTime(said.When) >= TellAgainAfter);
        if ((before != holds || grown) && host.TryTake(now => new ReportInput(now, condition, holds, value, limit)))
        {
            _said[key] = new Said(holds, value, _time.GetTimestamp());
        }
    }

    private sealed record Said(bool Holds, double? Value, long When);
}
