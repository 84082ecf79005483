using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary>The history of a cell's alarms.</summary>
internal static class AlarmResource
{
    private const int MostSteps = 1000;

    public static void MapAlarms(this IEndpointRouteBuilder api) =>
        api.MapGet("/cells/{cell:int}/alarms/history", History)
            .Produces<AlarmHistory>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Steps of a cell's alarms, newest first; go on with `before` = `next` until `next` is null.");

    private static IResult History(int cell, CellDirectory cells, RunCatalogue catalogue, long? before = null, int limit = 200)
    {
        if (!cells.TryFind(cell, out _, out IResult problem))
        {
            return problem;
        }

        if (limit is < 1 or > MostSteps)
        {
            return Problems.BadRequest("limit", $"limit is {limit}; give 1 to {MostSteps}.");
        }

        IReadOnlyList<AlarmStep> steps = catalogue.Alarms(cell, before ?? long.MaxValue, limit);
        return Results.Ok(new AlarmHistory(
            [.. steps.Select(s => Step(s.Id, s.Event))],
            steps.Count == limit ? steps[^1].Id : null));
    }

    private static AlarmHistoryStep Step(long id, AlarmEvent alarm) => new(
        id, alarm.Time.ToString(), alarm.AlarmId, alarm.Condition, alarm.ChannelId, Words.Of(alarm.State), alarm.Predicted, alarm.Value, alarm.Limit, alarm.Run,
        Words.Of(alarm.Signal), Words.Of(alarm.Priority), alarm.By, alarm.Comment, alarm.Until?.ToString(), alarm.Figure);

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
    internal sealed record AlarmHistoryStep(
        long Id, string Time, string AlarmId, string Condition, string? Channel, string State, bool Predicted, double? Value, double? Limit, long? Run,
        string Signal, string Priority, string By, string Comment, string? Until, string? Figure);
}
