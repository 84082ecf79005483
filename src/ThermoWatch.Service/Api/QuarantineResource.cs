using System.Text.Json;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Publishing;

namespace ThermoWatch.Service.Api;

/// <summary><c>/api/v1/feeds/{id}/quarantine</c>: the lines that a feed's target would not take, and what people do with them.</summary>
internal static class QuarantineResource
{
    private const int MostLines = 1000, MostNumbers = 10_000;

    public static void MapQuarantine(this IEndpointRouteBuilder api)
    {
        api.MapGet("/feeds/{id}/quarantine", List)
            .Produces<QuarantineList>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Lines that a feed's target would not take, oldest first, each with the target's words; go on with `after` = `next` until `next` is null.");
        api.MapGet("/feeds/{id}/quarantine/export", Export)
            .Produces<string>(contentType: "application/x-ndjson").ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("All of them as a file, one JSON object a line.");
        api.MapPost("/feeds/{id}/quarantine/retry", (string id, LinesRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http) =>
                Do(id, request, desk, catalogue, clock, http, AuditActions.FeedQuarantineRetried, (feed, numbers) => feed.SendQuarantinedAgain(numbers)))
            .Produces<FeedResource.FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Sends lines once more, all of them without `numbers`. What is taken leaves the quarantine; what is refused again stays with the new words.");
        api.MapPost("/feeds/{id}/quarantine/discard", (string id, LinesRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http) =>
                Do(id, request, desk, catalogue, clock, http, AuditActions.FeedQuarantineDiscarded, (feed, numbers) => feed.DiscardQuarantined(numbers)))
            .Produces<FeedResource.FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Throws lines away, all of them without `numbers`. Their readings stay in the record.");
        api.MapPost("/feeds/{id}/quarantine/acknowledge", (string id, LinesRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http) =>
                Do(id, request with { Numbers = null }, desk, catalogue, clock, http, AuditActions.FeedQuarantineSeen, (feed, _) => feed.AcknowledgeQuarantine()))
            .Produces<FeedResource.FeedInfo>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Says that somebody has seen them: they stay, and are an alarm again only when more come.");
    }

    private static IResult List(string id, FeedDesk desk, long after = 0, int limit = 200)
    {
        if (desk.Find(id) is not { } running)
        {
            return FeedResource.Unknown(id, desk);
        }

        if (limit is < 1 or > MostLines)
        {
            return Problems.BadRequest("limit", $"limit is {limit}; give 1 to {MostLines}.");
        }

        IReadOnlyList<QuarantinedLine> lines = running.Feed.Quarantined(after, limit);
        return Results.Ok(new QuarantineList([.. lines.Select(Of)], lines.Count == limit ? lines[^1].Number : null));
    }

    private static IResult Export(string id, FeedDesk desk)
    {
        if (desk.Find(id) is not { } running)
        {
            return FeedResource.Unknown(id, desk);
        }

        return Results.Stream(
            async body =>
            {
                for (IReadOnlyList<QuarantinedLine> lines = running.Feed.Quarantined(0, MostLines); lines.Count > 0; lines = running.Feed.Quarantined(lines[^1].Number, MostLines))
                {
                    foreach (QuarantinedLine line in lines)
                    {
                        await JsonSerializer.SerializeAsync(body, Of(line), JsonSerializerOptions.Web);
                        await body.WriteAsync("\n"u8.ToArray());
                    }
                }
            },
            "application/x-ndjson", $"{id}-quarantine.jsonl");
    }

    private static IResult Do(
        string id, LinesRequest request, FeedDesk desk, RunCatalogue catalogue, NodeClock clock, HttpContext http, string action, Action<Feed, IReadOnlyCollection<long>?> act)
    {
        if (request.Numbers is { } numbers && (numbers.Count is 0 or > MostNumbers))
        {
            return Problems.BadRequest("numbers", $"numbers: name 1 to {MostNumbers} lines, or leave it out for all of them.");
        }

        string after = string.Join(' ', ((string?[])[request.Numbers is { } some ? $"{some.Count} lines, {some.Min()} to {some.Max()}" : "all lines", request.Reason?.Trim()]).Where(t => !string.IsNullOrEmpty(t)));
        return FeedResource.Do(id, new FeedResource.FeedRequest(request.By), desk, catalogue, clock, http, action, feed => act(feed, request.Numbers), after);
    }

    private static QuarantinedInfo Of(QuarantinedLine line) => new(line.Number, line.Time, line.Line, line.Words, line.Precision);

    /// <param name="By">Name of the person.</param>
    /// <param name="Numbers">Which lines; left out: all.</param>
    /// <param name="Reason">Why; may be left out.</param>
    internal sealed record LinesRequest(string? By, IReadOnlyList<long>? Numbers, string? Reason);

    /// <param name="Lines">Oldest first.</param>
    /// <param name="Next">Where later ones begin; null at the end.</param>
    internal sealed record QuarantineList(IReadOnlyList<QuarantinedInfo> Lines, long? Next);

    /// <param name="Number">Names the line.</param>
    /// <param name="Time">When the target refused it, RFC 3339.</param>
    /// <param name="Line">As it was sent.</param>
    /// <param name="Words">What the target said.</param>
    /// <param name="Precision">How its time was made coarser.</param>
    internal sealed record QuarantinedInfo(long Number, DateTimeOffset Time, string Line, string Words, string Precision);
}
