using System.Text.Json.Serialization;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>The history of a cell's alarms, and how well they serve.</summary>
internal static class AlarmResource
{
    private const int MostSteps = 1000;

    /// <summary>A year: longer spans say nothing that its parts do not.</summary>
    private const double MostDays = 366;

    public static void MapAlarms(this IEndpointRouteBuilder api)
    {
        api.MapGet("/cells/{cell:int}/alarms", (int cell, CellDirectory cells) =>
                cells.TryFind(cell, out CellHost host, out IResult problem) ? Results.Ok(AlarmList.Of(host)) : problem)
            .Produces<AlarmList>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("All alarms of a cell: those that are told, those put aside, suppressed or out of service, and the ids of all that are normal.");
        api.MapGet("/cells/{cell:int}/alarms/history", History)
            .Produces<AlarmHistory>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Steps of a cell's alarms, newest first; go on with `before` = `next` until `next` is null.");
        api.MapGet("/alarms/quality", Quality)
            .Produces<AlarmQualityShape>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("How well a cell's alarms serve in a span, by ISA-18.2 and IEC 62682; without `from` and `to` the last seven days.");
    }

    private static IResult Quality(int cell, CellDirectory cells, RunCatalogue catalogue, DateTimeOffset? from = null, DateTimeOffset? to = null)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        Timestamp end = to is { } latest ? Timestamp.From(latest) : host.Now;
        Timestamp begin = from is { } earliest ? Timestamp.From(earliest) : end - TimeSpan.FromDays(7);
        double days = end.SecondsSince(begin) / TimeSpan.SecondsPerDay;
        if (!(days > 0 && days <= MostDays))
        {
            return Problems.BadRequest("from, to", $"from must lie before to, by {MostDays} days at most.");
        }

        return Results.Ok(AlarmQualityShape.Of(cell, begin, end, AlarmQuality.Of(catalogue.AlarmsBetween(cell, begin, end), begin, end)));
    }

    private static IResult History(int cell, CellDirectory cells, RunCatalogue catalogue, long? before = null, int limit = 200)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        if (limit is < 1 or > MostSteps)
        {
            return Problems.BadRequest("limit", $"limit is {limit}; give 1 to {MostSteps}.");
        }

        IReadOnlyList<AlarmStep> steps = catalogue.Alarms(cell, before ?? long.MaxValue, limit);
        return Results.Ok(new AlarmHistory(
            [.. steps.Select(s => Step(s.Id, s.Event, host.Definition, ProductOf(s.Event)))],
            steps.Count == limit ? steps[^1].Id : null));

        // Only one condition names the product, so only its steps are worth a look.
        string? ProductOf(AlarmEvent alarm) => alarm is { Condition: "wrongRecipe", Run: { } run } ? catalogue.Find(cell, run)?.SpecName : null;
    }

    private static AlarmHistoryStep Step(long id, AlarmEvent alarm, CellDefinition cell, string? product)
    {
        AlarmTelling telling = AlarmTelling.Of(alarm, cell, product: product), german = AlarmTelling.Of(alarm, cell, AlarmLanguage.German, product);
        return new(
            id, alarm.Time.ToString(), alarm.AlarmId, alarm.Condition, alarm.ChannelId, Words.Of(alarm.State), alarm.Predicted, alarm.Value, alarm.Limit, alarm.Run,
            Words.Of(alarm.Signal), Words.Of(alarm.Priority), alarm.By, alarm.Comment, alarm.Until?.ToString(), alarm.Figure,
            telling.Unit.Length > 0 ? telling.Unit : null, telling.Where, telling.What, new StepWords(german.Where, german.What));
    }

    /// <summary>Shares from 0 to 1; only what was told counts.</summary>
    /// <param name="Cell">Number of the cell.</param>
    /// <param name="From">Start of the span, RFC 3339.</param>
    /// <param name="To">End of the span.</param>
    /// <param name="Told">Alarms told.</param>
    /// <param name="PerTenMinutes">Told in ten minutes, mean.</param>
    /// <param name="MostInTenMinutes">The most in any ten minutes.</param>
    /// <param name="CrowdedPeriods">Ten-minute periods with more than ten.</param>
    /// <param name="CrowdedHours">Hours with more than thirty.</param>
    /// <param name="FloodShare">Time from more than ten in ten minutes until fewer than five.</param>
    /// <param name="Chattering">Told three times or more within a minute.</param>
    /// <param name="Fleeting">How often one was over within a minute without anybody having done anything.</param>
    /// <param name="Stale">Stood for more than a day.</param>
    /// <param name="MostFrequent">The ten told most often.</param>
    /// <param name="TopTenShare">Share of all that those have.</param>
    /// <param name="MedianSecondsToAcknowledge">Median time to an acknowledgement, s; null without any.</param>
    /// <param name="NinetyPercentSecondsToAcknowledge">Nine in ten within this, s.</param>
    /// <param name="NeverAcknowledged">Told and never acknowledged.</param>
    /// <param name="Priorities">Shares of those told.</param>
    internal sealed record AlarmQualityShape(
        int Cell, string From, string To, int Told, double PerTenMinutes, int MostInTenMinutes, double CrowdedPeriods, double CrowdedHours, double FloodShare,
        IReadOnlyList<string> Chattering, int Fleeting, IReadOnlyList<string> Stale, IReadOnlyList<FrequentAlarm> MostFrequent, double TopTenShare,
        [property: JsonPropertyName("medianToAcknowledge_s")] double? MedianSecondsToAcknowledge,
        [property: JsonPropertyName("ninetyPercentToAcknowledge_s")] double? NinetyPercentSecondsToAcknowledge,
        int NeverAcknowledged, PriorityShares Priorities)
    {
        public static AlarmQualityShape Of(int cell, Timestamp from, Timestamp to, AlarmQuality q) => new(
            cell, from.ToString(), to.ToString(), q.Told, q.PerTenMinutes, q.MostInTenMinutes, q.CrowdedPeriods, q.CrowdedHours, q.FloodShare,
            q.Chattering, q.Fleeting, q.Stale, q.MostFrequent, q.TopTenShare, q.MedianSecondsToAcknowledge, q.NinetyPercentSecondsToAcknowledge,
            q.NeverAcknowledged, new PriorityShares(q.Priorities.High, q.Priorities.Medium, q.Priorities.Low));
    }

    internal sealed record PriorityShares(double High, double Medium, double Low);

    /// <param name="Steps">Newest first.</param>
    /// <param name="Next">Where older ones begin; null at the end.</param>
    internal sealed record AlarmHistory(IReadOnlyList<AlarmHistoryStep> Steps, long? Next);

    /// <param name="Id">Rises with time of recording.</param>
    /// <param name="Time">When, RFC 3339.</param>
    /// <param name="AlarmId">Which alarm.</param>
    /// <param name="Condition">What it watches.</param>
    /// <param name="Channel">Where; null for the whole cell.</param>
    /// <param name="State">Into which state.</param>
    /// <param name="Predicted">Whether a forecast raised it.</param>
    /// <param name="Value">What was measured, in the channel's unit; null if nothing was.</param>
    /// <param name="Limit">What it was held against.</param>
    /// <param name="Run">In which run; null between runs.</param>
    /// <param name="Signal">What happened: conditionActive, conditionClears, acknowledge, shelve ...</param>
    /// <param name="Priority">high, medium or low.</param>
    /// <param name="By">Who did it; empty if nobody.</param>
    /// <param name="Comment">What that person said, or the reason given.</param>
    /// <param name="Until">Until when it is put aside; null unless it is.</param>
    /// <param name="Figure">Figure whose limit is concerned; null if none.</param>
    /// <param name="Unit">Unit of value and limit; null if they are numbers, or there are none.</param>
    /// <param name="Where">Where, as people call it.</param>
    /// <param name="What">What was wrong, with value and limit, in English.</param>
    /// <param name="German">The same in German.</param>
    internal sealed record AlarmHistoryStep(
        long Id, string Time, string AlarmId, string Condition, string? Channel, string State, bool Predicted, double? Value, double? Limit, long? Run,
        string Signal, string Priority, string By, string Comment, string? Until, string? Figure, string? Unit, string Where, string What,
        [property: JsonPropertyName("de")] StepWords German);

    internal sealed record StepWords(string Where, string What);

    /// <param name="Cell">Number of the cell.</param>
    /// <param name="Told">Alarms that stand, latest first.</param>
    /// <param name="Hidden">Put aside, suppressed or out of service.</param>
    /// <param name="Normal">Ids of all others.</param>
    internal sealed record AlarmList(int Cell, IReadOnlyList<AlarmLive> Told, IReadOnlyList<AlarmLive> Hidden, IReadOnlyList<string> Normal)
    {
        public static AlarmList Of(CellHost host)
        {
            CellState state = host.State;
            HashSet<string> standing = [.. state.Alarms.Concat(state.HiddenAlarms).Select(a => a.Id)];
            return new(
                host.Definition.Number, state.Alarms, state.HiddenAlarms, [.. host.AlarmIds.Where(id => !standing.Contains(id)).Order(StringComparer.Ordinal)]);
        }
    }
}
