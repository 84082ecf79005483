using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary>What people do with alarms, for programs that have no hub: the same orders, answered once they stand in the record.</summary>
internal static class AlarmOrderResource
{
    public static void MapAlarmOrders(this IEndpointRouteBuilder api)
    {
        Map("acknowledge", "Says that somebody has seen an alarm, and in `comment` what was done.", false, (now, o) => new AcknowledgeInput(now, o.Alarm!, o.By!, o.Comment ?? ""));
        Map("shelve", "Puts an alarm aside for `minutes`, for a reason in `comment`; `once`: until its condition is gone.", true,
            (now, o) => new ShelveInput(now, o.Alarm!, o.By!, o.Comment!, now.AddSeconds(60 * o.Minutes!.Value), o.Once ?? false));
        Map("unshelve", "Takes an alarm back that was put aside.", false, (now, o) => new UnshelveInput(now, o.Alarm!, o.By!));
        Map("outOfService", "Takes an alarm out of service, for a reason in `comment`.", true, (now, o) => new OutOfServiceInput(now, o.Alarm!, o.By!, o.Comment!, Out: true));
        Map("returnToService", "Brings an alarm back into service.", false, (now, o) => new OutOfServiceInput(now, o.Alarm!, o.By!, o.Comment ?? "", Out: false));
        Map("reset", "Lets a latched alarm go.", false, (now, o) => new ResetInput(now, o.Alarm!, o.By!, o.Comment ?? ""));

        void Map(string name, string summary, bool asksWhy, Func<Timestamp, AlarmOrder, EngineInput> input) => api
            .MapPost($"/cells/{{cell:int}}/alarms/{name}", (int cell, AlarmOrder order, CellDirectory cells) => TakeAsync(cell, order, cells, name, asksWhy, input))
            .Produces<AlarmOrdered>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict).ProducesProblem(StatusCodes.Status503ServiceUnavailable)
            .WithSummary(summary);
    }

    private static async Task<IResult> TakeAsync(
        int cell, AlarmOrder order, CellDirectory cells, string name, bool asksWhy, Func<Timestamp, AlarmOrder, EngineInput> input)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        if (string.IsNullOrWhiteSpace(order.Alarm))
        {
            return Problems.BadRequest("alarm", $"alarm: give its id. /api/v1/cells/{cell}/alarms lists them.");
        }

        if (!host.HasAlarm(order.Alarm))
        {
            return Problems.NotFound($"Cell {cell} has no alarm {order.Alarm}. /api/v1/cells/{cell}/alarms lists those that it has.");
        }

        if (string.IsNullOrWhiteSpace(order.By))
        {
            return Problems.BadRequest("by", "by: give the name of the person.");
        }

        if (asksWhy && string.IsNullOrWhiteSpace(order.Comment))
        {
            return Problems.BadRequest("comment", "comment: say why.");
        }

        double most = host.Definition.Alarms.LongestShelving.TotalMinutes;
        if (name == "shelve" && !(order.Minutes > 0 && order.Minutes <= most))
        {
            return Problems.BadRequest("minutes", FormattableString.Invariant($"minutes: {(order.Minutes is { } given ? $"{given} does not do; give" : "give")} more than 0 and up to {most}, for which the alarm is put aside."));
        }

        AlarmOrder clean = order with { By = order.By.Trim(), Comment = order.Comment?.Trim() };
        OrderOutcome outcome = await host.OrderAsync(now => input(now, clean));
        return !outcome.Taken ? Problems.Of(StatusCodes.Status503ServiceUnavailable, "The cell is busy", "Its queue is full, or the service ends. Try again.")
            : outcome.Changed ? Results.Ok(new AlarmOrdered(order.Alarm, name, Words.Of(outcome.State)))
            : Problems.Of(StatusCodes.Status409Conflict, "The alarm is not so", WhyNot(order.Alarm, name, outcome.State));
    }

    private static string WhyNot(string alarm, string name, AlarmState state)
    {
        string possible = string.Join(", ", AlarmOrders.TakenIn(state));
        return $"{alarm} is {Words.Of(state)}, and {name} changes nothing there. What it takes now: {(possible.Length > 0 ? possible : "nothing, as it means nothing while the cell stands so")}.";
    }

    /// <param name="Alarm">The alarm's id, from the list of alarms.</param>
    /// <param name="By">Name of the person.</param>
    /// <param name="Comment">What was found or done, or why.</param>
    /// <param name="Minutes">For shelve: for how long.</param>
    /// <param name="Once">For shelve: whether it comes back as soon as its condition is gone.</param>
    internal sealed record AlarmOrder(string? Alarm, string? By, string? Comment, double? Minutes, bool? Once);

    /// <param name="Alarm">The alarm's id.</param>
    /// <param name="Done">What was done, and stands in the record.</param>
    /// <param name="State">Its state afterwards.</param>
    internal sealed record AlarmOrdered(string Alarm, string Done, string State);
}
