using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>The cells of this node: how they are wired, and how they stand.</summary>
internal static class CellResource
{
    public static void MapCells(this IEndpointRouteBuilder api)
    {
        api.MapGet("/cells", (CellDirectory cells) =>
                new CellList([.. cells.All.Select(c => new CellName { Cell = c.Definition.Number, Name = c.Definition.Name })]))
            .WithSummary("The cells of this node.");
        api.MapGet("/cells/{cell:int}/layout", (int cell, CellDirectory cells) =>
                cells.TryFind(cell, out CellHost host, out IResult problem) ? Results.Ok(host.Layout()) : problem)
            .Produces<CellLayout>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("How a cell is wired, and the spec of its next run. The same as the live hub's layout.");
        api.MapGet("/cells/{cell:int}/state", (int cell, CellDirectory cells) =>
                cells.TryFind(cell, out CellHost host, out IResult problem) ? Results.Ok(host.State) : problem)
            .Produces<CellState>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("How a cell stands now: runs, alarms, devices. The same as the live hub's state.");
        api.MapGet("/cells/{cell:int}/channels/{channel}/budget", (int cell, string channel, CellDirectory cells) =>
                !cells.TryFind(cell, out CellHost host, out IResult problem) ? problem
                : host.Budget(channel) is { } budget ? Results.Ok(budget)
                : Problems.NotFound($"Cell {cell} has no channel {channel}. Channels: {string.Join(", ", host.Definition.Channels.Select(c => c.Id))}."))
            .Produces<BudgetLive>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Where the uncertainty of a channel's newest reading comes from, line by line (GUM).");
    }

    /// <param name="Cells">In the order of the configuration.</param>
    internal sealed record CellList(IReadOnlyList<CellName> Cells);
}
