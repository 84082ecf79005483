using System.Net;
using Microsoft.Data.Sqlite;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Keeping;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Api;

/// <summary>How recording stands and what room is left; and the decision to take a run's readings out.</summary>
internal static class RecordResource
{
    public static void MapRecord(this IEndpointRouteBuilder api)
    {
        api.MapGet("/record", (RecordWatch watch) => RecordRoomShape.Of(watch.Current))
            .Produces<RecordRoomShape>()
            .WithSummary("How recording stands and for how many days there is room; at most ten seconds old.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}/deletion", Plan)
            .Produces<RemovalShape>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What would be lost if the readings of a run were deleted from the record, or why that cannot be done.");
        api.MapPost("/cells/{cell:int}/runs/{number:long}/deletion", Remove)
            .Produces<RemovalShape>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status403Forbidden).ProducesProblem(StatusCodes.Status409Conflict).ProducesProblem(StatusCodes.Status503ServiceUnavailable)
            .WithSummary("Takes the readings of a run out of the record for good: an administrator's decision, kept with its name and reason. Only from the node itself.");
    }

    private static IResult Plan(int cell, long number, CellDirectory cells, RunCatalogue catalogue, RecordKeeper keeper) =>
        cells.TryFindRun(catalogue, cell, number, out _, out _, out IResult problem) ? Results.Ok(RemovalShape.Of(keeper.PlanRemoval(cell, number))) : problem;

    private static IResult Remove(
        int cell, long number, RemovalRequest request, HttpContext context, CellDirectory cells, RunCatalogue catalogue, RecordKeeper keeper)
    {
        if (context.Connection.RemoteIpAddress is not { } address || !IPAddress.IsLoopback(address))
        {
            return Problems.Of(StatusCodes.Status403Forbidden, "Only from the node itself",
                "Readings are deleted only by somebody at the node: send the request from that computer, or use the command line there.");
        }

        if (!cells.TryFindRun(catalogue, cell, number, out _, out _, out IResult problem))
        {
            return problem;
        }

        RunRemoval plan = keeper.PlanRemoval(cell, number);
        if (plan.Problem is not null)
        {
            return Problems.Of(StatusCodes.Status409Conflict, "It cannot be deleted", plan.Problem);
        }

        if (request.Entries != plan.Entries)
        {
            return Problems.BadRequest("entries", $"entries is {request.Entries?.ToString() ?? "missing"}; confirm what will be lost by sending the number of entries that GET names: {plan.Entries}.");
        }

        try
        {
            return keeper.RemoveRun(cell, number, request.By?.Trim() ?? "", Environment.MachineName, request.Reason?.Trim() ?? "") is { } refusal
                ? Problems.BadRequest("body", refusal)
                : Results.Ok(RemovalShape.Of(plan));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or SqliteException)
        {
            return Problems.Of(StatusCodes.Status503ServiceUnavailable, "The disk refuses", $"{fault.Message} Send the request again when that is mended: it goes on where it stopped.");
        }
    }

    /// <param name="By">Name of the administrator.</param>
    /// <param name="Reason">Why.</param>
    /// <param name="Entries">The number of entries that will be lost, as GET names it.</param>
    internal sealed record RemovalRequest(string? By, string? Reason, long? Entries);

    /// <param name="Run">Number of the run.</param>
    /// <param name="Problem">Why it cannot be done, and what to do; null if it can.</param>
    /// <param name="Start">When the run began.</param>
    /// <param name="End">When it ended.</param>
    /// <param name="Entries">Entries that go.</param>
    /// <param name="Bytes">Bytes that they take on the disk.</param>
    /// <param name="EntriesThatStay">Entries of the run that stay, because another run stands in the same block.</param>
    /// <param name="Lost">What can never be had again.</param>
    /// <param name="Kept">What is kept.</param>
    internal sealed record RemovalShape(long Run, string? Problem, string? Start, string? End, long Entries, long Bytes, long EntriesThatStay, string Lost, string Kept)
    {
        public static RemovalShape Of(RunRemoval plan) => new(
            plan.Number, plan.Problem, plan.Start?.ToString(), plan.End?.ToString(), plan.Entries, plan.Bytes, plan.EntriesThatStay, RunRemoval.Lost, RunRemoval.Kept);
    }

    /// <param name="State">recording; waiting: the disk refuses and readings wait in memory; losing: memory is full too.</param>
    /// <param name="Reason">What the disk said; empty while recording.</param>
    /// <param name="WaitingEntries">Entries that are only in memory.</param>
    /// <param name="NotRecorded">Entries that were lost since the start.</param>
    /// <param name="SealProblem">Why closed files could not be sealed; null if none failed.</param>
    /// <param name="FreeBytes">Free on the disk of the record; null while the disk cannot be asked.</param>
    /// <param name="BytesPerDay">What the record has grown by in a day lately; null while nobody can tell.</param>
    /// <param name="DaysLeft">For how many days the room will do if that goes on; null while nobody can tell.</param>
    /// <param name="RoomIsLow">Whether somebody should make room.</param>
    internal sealed record RecordRoomShape(
        string State, string Reason, long WaitingEntries, long NotRecorded, string? SealProblem, long? FreeBytes, double? BytesPerDay, double? DaysLeft, bool RoomIsLow)
    {
        public static RecordRoomShape Of(RecordingStatus status) => new(
            Words.Of(status.State), status.Reason, status.WaitingEntries, status.NotRecorded, status.SealProblem,
            status.Space?.FreeBytes, status.Space?.BytesPerDay, status.Space?.DaysLeft, status.Space?.IsLow ?? false);
    }
}
