using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary>What people and programs say of a carrier's run while it goes on: that it begins or ends, what it is for, that somebody acted.</summary>
internal static class RunOrderResource
{
    public static void MapRunOrders(this IEndpointRouteBuilder api)
    {
        Map("begin", "Says that a carrier's run begins now, where nothing at the machine says so; `kind` and `recipe` may be said with it.", Order.Begin);
        Map("end", "Says that a carrier's run ends now.", Order.End);
        Map("kind", "Says what a carrier's open run is for: profile, verification, production, empty or maintenance.", Order.Kind);
        Map("intervention", "Says that somebody acted on the machine during a carrier's open run, and what was done: the run says so.", Order.Intervention);

        void Map(string name, string summary, Order order) => api
            .MapPost($"/cells/{{cell:int}}/carriers/{{carrier}}/run/{name}", (int cell, string carrier, RunOrder said, CellDirectory cells, RunCatalogue catalogue) =>
                TakeAsync(order, cell, carrier, said, cells, catalogue))
            .Produces<RunOrdered>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict).ProducesProblem(StatusCodes.Status503ServiceUnavailable)
            .WithSummary(summary);
    }

    private enum Order
    {
        Begin,
        End,
        Kind,
        Intervention,
    }

    private static async Task<IResult> TakeAsync(Order order, int cell, string carrier, RunOrder said, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        if (!host.Definition.Carriers.Contains(carrier))
        {
            return Problems.NotFound($"Cell {cell} has no carrier {carrier}. Carriers: {string.Join(", ", host.Definition.Carriers)}.");
        }

        if (string.IsNullOrWhiteSpace(said.By))
        {
            return Problems.BadRequest("by", "by: say who, or which program.");
        }

        RunKind? kind = null;
        if (said.Kind is not null || order == Order.Kind)
        {
            Dictionary<string, RunKind> kinds = Words.Of<RunKind>();
            if (said.Kind is null || !kinds.TryGetValue(said.Kind, out RunKind known))
            {
                return Problems.BadRequest("kind", $"\"{said.Kind}\" is no kind of run; give one of {string.Join(", ", kinds.Keys)}.");
            }

            kind = known;
        }

        if (order == Order.Intervention && string.IsNullOrWhiteSpace(said.What))
        {
            return Problems.BadRequest("what", "what: say what was done.");
        }

        RunPicture? open = host.OpenRunOf(carrier);
        if (order == Order.Begin && open is not null)
        {
            return Conflict($"Run {open.Number} of carrier {carrier} goes on; end it first.");
        }

        if (order != Order.Begin && open is null)
        {
            return Conflict($"Carrier {carrier} has no run that goes on.");
        }

        string by = said.By.Trim(), what = said.What?.Trim() ?? "";
        (string action, string? words, Func<Timestamp, EngineInput> input) = order switch
        {
            Order.Begin => (AuditActions.RunBegun, said.Kind, (Func<Timestamp, EngineInput>)(now => new StartRunInput(now, carrier, by, kind, said.Recipe))),
            Order.End => (AuditActions.RunEnded, null, now => new EndRunInput(now, carrier, by)),
            Order.Kind => (AuditActions.RunKind, said.Kind, now => new RunKindInput(now, carrier, kind!.Value, by)),
            _ => (AuditActions.RunIntervention, what, now => new InterventionInput(now, carrier, by, what)),
        };
        if (!await host.TakeAsync(input))
        {
            return Problems.Of(StatusCodes.Status503ServiceUnavailable, "The cell is busy", "Its queue is full, or the service ends. Try again.");
        }

        string where = open is null ? $"cell {cell} carrier {carrier}" : $"cell {cell} run {open.Number}";
        catalogue.Audit(new AuditEntry(
            host.Now, by, Environment.MachineName, action, where, order == Order.Kind ? Words.Of(open!.Kind) : null, words, order == Order.Intervention || what.Length == 0 ? null : what));
        return Results.Ok(new RunOrdered(carrier, open?.Number));
    }

    private static IResult Conflict(string detail) => Problems.Of(StatusCodes.Status409Conflict, "The carrier is not so", detail);

    /// <param name="By">Name of the person or program.</param>
    /// <param name="Kind">What the run is for; null: by whether product sensors give readings.</param>
    /// <param name="Recipe">Number of the recipe, where no signal says it.</param>
    /// <param name="What">What was done, or a remark.</param>
    internal sealed record RunOrder(string? By, string? Kind, int? Recipe, string? What);

    /// <param name="Carrier">The carrier.</param>
    /// <param name="Run">The run that it was said of; null for one that begins: the cell's state names it.</param>
    internal sealed record RunOrdered(string Carrier, long? Run);
}
