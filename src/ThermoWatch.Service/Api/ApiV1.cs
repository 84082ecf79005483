using System.Text.Json.Serialization;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Api;

/// <summary>
/// What other programs and the pages ask for, under /api/v1, described by /openapi/v1.json. Times are RFC 3339 in UTC,
/// temperatures °C, pressures mbar absolute. What is not known is null; what is wrong is a problem (RFC 9457).
/// </summary>
internal static class ApiV1
{
    public static void AddApi(this IServiceCollection services)
    {
        services.AddProblemDetails();
        services.Configure<RouteHandlerOptions>(options => options.ThrowOnBadRequest = true); // for BadRequests: the host alone says only that it is bad
        services.AddOpenApi("v1", options => options.AddDocumentTransformer((document, _, _) =>
        {
            document.Info.Title = "ThermoWatch";
            document.Info.Version = "1";
            document.Info.Description =
                "What a node knows of its cells. It observes and records; it is not a safety function. Times are RFC 3339 in UTC, temperatures in °C, pressures in mbar absolute.";
            return Task.CompletedTask;
        }));
        services.ConfigureHttpJsonOptions(options =>
        {
            options.SerializerOptions.NumberHandling = JsonNumberHandling.Strict;
            options.SerializerOptions.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow; // a misspelt name would be lost without a word
        });
    }

    public static void MapApi(this WebApplication app)
    {
        RouteGroupBuilder api = app.MapGroup("/api/v1");
        api.MapCells();
        api.MapRuns();
        api.MapPapers();
        api.MapReferences();
        api.MapRejudgements();
        api.MapProducts();
        api.MapRunOrders();
        api.MapAlarms();
        api.MapAlarmOrders();
        api.MapDevices();
        api.MapExchange();
        api.MapProbe();
        api.MapSpecs();
        api.MapRecord();
        api.MapFeeds();
        api.MapQuarantine();
        // An address that is not there is a problem too, not the page.
        api.MapFallback("{**rest}", (HttpRequest request) =>
            Problems.NotFound($"There is nothing at {request.Path}. What there is stands in /openapi/v1.json."));
        app.MapOpenApi("/openapi/{documentName}.json");
    }

    /// <summary>The cell that a path names, or the problem of there being none.</summary>
    public static bool TryFind(this CellDirectory cells, int number, out CellHost cell, out IResult problem)
    {
        cell = cells.Find(number)!;
        problem = cell is null
            ? Problems.NotFound($"There is no cell {number} here. Cells: {string.Join(", ", cells.All.Select(c => c.Definition.Number))}.")
            : Results.Empty;
        return cell is not null;
    }

    /// <summary>The run that a path names, or the problem of there being none.</summary>
    public static bool TryFindRun(this CellDirectory cells, RunCatalogue catalogue, int cell, long number, out CellHost host, out RunRow run, out IResult problem)
    {
        run = null!;
        if (!cells.TryFind(cell, out host, out problem))
        {
            return false;
        }

        run = catalogue.Find(cell, number)!;
        problem = run is null ? Problems.NotFound($"Cell {cell} has no run {number}. What it has stands in /api/v1/cells/{cell}/runs.") : Results.Empty;
        return run is not null;
    }
}
