using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Publishing;

namespace ThermoWatch.Service.Api;

/// <summary><c>/api/v1/feeds</c>: how each feed stands, and what people may ask of it.</summary>
internal static class FeedResource
{
    public static void MapFeeds(this IEndpointRouteBuilder api)
    {
        api.MapGet("/feeds", (FeedDesk desk) => Results.Ok(new FeedList([.. desk.Feeds.Select(f => Of(f))])))
            .Produces<FeedList>()
            .WithSummary("How each feed stands: state, lag, backlog, backfills.");
        api.MapGet("/feeds/{id}", (string id, FeedDesk desk) => desk.Find(id) is { } feed ? Results.Ok(Of(feed)) : Unknown(id, desk))
            .Produces<FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("How a feed stands.");
        api.MapPost("/feeds/{id}/pause", (string id, FeedRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http) =>
                Do(id, request, desk, catalogue, clock, http, AuditActions.FeedPaused, feed => feed.Pause()))
            .Produces<FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Stops a feed, also over a restart. What is recorded meanwhile is sent afterwards.");
        api.MapPost("/feeds/{id}/resume", (string id, FeedRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http) =>
                Do(id, request, desk, catalogue, clock, http, AuditActions.FeedResumed, feed => feed.Resume()))
            .Produces<FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Lets a feed go on, at once even if its last attempt failed.");
        api.MapPost("/feeds/{id}/backfill", Backfill)
            .Produces<FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Sends a stretch of the past once more, beside what is live. Live values always go first.");
        api.MapPost("/feeds/{id}/backfill/cancel", (string id, FeedRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http) =>
                Do(id, request, desk, catalogue, clock, http, AuditActions.FeedBackfillCancelled, feed => feed.CancelBackfills()))
            .Produces<FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Sends no more of the past that was asked for. A backlog that is still owed goes on.");
        api.MapGet("/feeds/{id}/lag", (string id, FeedDesk desk) => desk.Find(id) is { } feed
                ? Results.Ok(new LagHour(LagHistory.Step.TotalSeconds, [.. feed.Lags.Look().Select(s => new LagInfo(s.Start, s.Worst.TotalSeconds, s.Backlog))]))
                : Unknown(id, desk))
            .Produces<LagHour>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("How late a feed was in the last hour, since the start of the service: the worst of each half minute.");
    }

    private static IResult Backfill(string id, BackfillRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http)
    {
        if (request.From is not { } from)
        {
            return Problems.BadRequest("from", "from: give the time from which on to send again, RFC 3339.");
        }

        if (from > clock.Time.GetUtcNow())
        {
            return Problems.BadRequest("from", $"from: {from:O} lies in the future, and nothing is recorded there. Give a time that is past.");
        }

        if (request.To < from)
        {
            return Problems.BadRequest("to", $"to: {request.To:O} lies before from. Give a later time, or leave it out.");
        }

        return Do(id, new FeedRequest(request.By), desk, catalogue, clock, http, AuditActions.FeedBackfill,
            feed => feed.SendAgain(Timestamp.From(from), request.To is { } to ? Timestamp.From(to) : null), $"from {from:O}" + (request.To is { } end ? $" to {end:O}" : ""));
    }

    /// <summary>Writes into the trail who does it, does it, and answers how the feed stands then.</summary>
    public static IResult Do(
        string id, FeedRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http, string action, Action<Feed> act, string? after = null)
    {
        if (desk.Find(id) is not { } feed)
        {
            return Unknown(id, desk);
        }

        if (string.IsNullOrWhiteSpace(request.By))
        {
            return Problems.BadRequest("body", "by: give the name of the person who does this.");
        }

        // The trail first: what cannot be written down is not done.
        catalogue.Audit(new AuditEntry(
            Timestamp.From(clock.Time.GetUtcNow()), request.By.Trim(), http.Connection.RemoteIpAddress?.ToString() ?? "", action, $"feed {id}", null, after, null));
        act(feed.Feed);
        return Results.Ok(Of(feed));
    }

    public static IResult Unknown(string id, FeedDesk desk) => Problems.NotFound(desk.Feeds.Count == 0
        ? "This node has no feeds. They are described under \"feeds\" in the configuration."
        : $"There is no feed {id} here. Feeds: {string.Join(", ", desk.Feeds.Select(f => f.Feed.Options.Id))}.");

    private static FeedInfo Of(RunningFeed running)
    {
        FeedStatus status = running.Feed.Status;
        return new FeedInfo(
            status.Id, status.Kind, status.Address, [.. running.Cells], Words.Of(status.State), status.Reason, status.Lag.TotalSeconds, running.Feed.Options.AlarmAfter.TotalSeconds,
            status.BacklogEntries, status.ConfirmedReadings, status.RejectedLines, [.. status.LastRejected.Select(r => new RejectedInfo(r.Line, r.Words))],
            status.Failures, status.PrecisionRule, running.Step.TotalSeconds, running.CloseDevices, status.SharedTimes,
            [.. status.Backfills.Select(b => new BackfillInfo(b.Lane, b.First, b.Confirmed, b.Last, b.Share, b.Owed))], [.. status.Lanes.Select(l => new LaneInfo(l.Lane, l.Confirmed, l.End))],
            new QuarantineInfo(status.Quarantine.Lines, status.Quarantine.Since, status.Quarantine.Words, status.Quarantine.IsNew, status.Quarantine.Resending));
    }

    /// <param name="By">Name of the person.</param>
    internal sealed record FeedRequest(string? By);

    /// <param name="By">Name of the person.</param>
    /// <param name="From">From when on, RFC 3339.</param>
    /// <param name="To">Until when; null: until what has been sent by now.</param>
    internal sealed record BackfillRequest(string? By, DateTimeOffset? From, DateTimeOffset? To);

    /// <param name="Feeds">In the order of the configuration.</param>
    internal sealed record FeedList(IReadOnlyList<FeedInfo> Feeds);

    /// <summary>One feed.</summary>
    /// <param name="Id">Its id.</param>
    /// <param name="Kind">influx, mqtt, sparkplug or webhook.</param>
    /// <param name="Target">Where it goes, without any secret.</param>
    /// <param name="Cells">Cells that it tells of.</param>
    /// <param name="State">sending, waiting, refused or paused.</param>
    /// <param name="Reason">What the other side said when it did not confirm, or what is missing on this side; empty while all is well.</param>
    /// <param name="LagSeconds">Age of the oldest entry that is not confirmed, s; 0 if everything is.</param>
    /// <param name="AlarmAfterSeconds">From this lag on it is an alarm, s.</param>
    /// <param name="BacklogEntries">Entries of the record that are not confirmed.</param>
    /// <param name="ConfirmedReadings">Readings confirmed since the start of the service.</param>
    /// <param name="RejectedLines">Lines that the other side would not take since the start of the service.</param>
    /// <param name="LastRejected">The newest of them.</param>
    /// <param name="Failures">Attempts in a row that failed.</param>
    /// <param name="Precision">How times are made coarser.</param>
    /// <param name="StepSeconds">How finely times are sent, s: of readings of one channel that lie closer together the target keeps one.</param>
    /// <param name="CloseDevices">Devices that set their own pace, whose scans may lie closer together than that.</param>
    /// <param name="SharedTimes">Scans confirmed since the start of the service whose time, as sent, is that of the device's scan before; backfills do not count.</param>
    /// <param name="Backfills">What is being sent of the past.</param>
    /// <param name="Lanes">Position of each part of the record.</param>
    /// <param name="Quarantine">Lines that the other side would not take and that are kept.</param>
    internal sealed record FeedInfo(
        string Id, string Kind, string Target, IReadOnlyList<int> Cells, string State, string Reason, double LagSeconds, double AlarmAfterSeconds, long BacklogEntries,
        long ConfirmedReadings, long RejectedLines, IReadOnlyList<RejectedInfo> LastRejected, int Failures, string Precision, double StepSeconds, IReadOnlyList<CloseDevice> CloseDevices, long SharedTimes,
        IReadOnlyList<BackfillInfo> Backfills, IReadOnlyList<LaneInfo> Lanes, QuarantineInfo Quarantine);

    /// <param name="Lines">How many are kept.</param>
    /// <param name="Since">When the oldest of them was refused, RFC 3339; null if there is none.</param>
    /// <param name="Words">What the other side said of the newest.</param>
    /// <param name="IsNew">Whether some came since somebody last said to have seen them: the alarm feedRejected.</param>
    /// <param name="Resending">How many are to be sent once more.</param>
    internal sealed record QuarantineInfo(long Lines, DateTimeOffset? Since, string Words, bool IsNew, int Resending);

    /// <param name="StepSeconds">Width of a step, s.</param>
    /// <param name="Steps">Oldest first; the last is going on.</param>
    internal sealed record LagHour(double StepSeconds, IReadOnlyList<LagInfo> Steps);

    /// <param name="Start">Where the step begins, RFC 3339.</param>
    /// <param name="LagSeconds">Greatest age of the oldest entry that was not confirmed, s.</param>
    /// <param name="BacklogEntries">Most entries that were not confirmed.</param>
    internal sealed record LagInfo(DateTimeOffset Start, double LagSeconds, long BacklogEntries);

    /// <param name="Line">As it was sent.</param>
    /// <param name="Words">What the other side said.</param>
    internal sealed record RejectedInfo(string Line, string Words);

    /// <param name="Lane">Part of the record.</param>
    /// <param name="First">First entry of the stretch.</param>
    /// <param name="Confirmed">Last entry confirmed.</param>
    /// <param name="Last">Last entry of the stretch.</param>
    /// <param name="Share">How much is confirmed, 0 to 1.</param>
    /// <param name="Owed">Whether it is a backlog that live values have passed by; such a one cannot be cancelled.</param>
    internal sealed record BackfillInfo(string Lane, long First, long Confirmed, long Last, double Share, bool Owed);

    /// <param name="Lane">Part of the record: cell-1, events ...</param>
    /// <param name="Confirmed">Last entry confirmed.</param>
    /// <param name="End">Newest entry recorded.</param>
    internal sealed record LaneInfo(string Lane, long Confirmed, long End);
}
