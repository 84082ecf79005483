using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>Runs of the past and of now: the list, one of them, its curves.</summary>
internal static class RunResource
{
    private const int MostRuns = 500;
    private const double MostMargin = 600;
    private const int MostColumns = 1000;

    public static void MapRuns(this IEndpointRouteBuilder api)
    {
        api.MapGet("/cells/{cell:int}/runs", List)
            .Produces<RunList>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Runs of a cell, newest first; go on with `before` = `next` until `next` is null.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}", One)
            .Produces<RunDetail>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("A run: figures, phases, channels. Its curves are a request of their own.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}/curves", Curves)
            .Produces<RunCurvesShape>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Every reading of a run, a column a channel, converted anew from the raw record.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}/shape", Shape)
            .Produces<RunShape>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("A run as a small drawing shows it: coolest, hottest and lowest pressure in each of equally wide columns of time.");
    }

    private static IResult List(
        int cell, CellDirectory cells, RunCatalogue catalogue,
        long? before = null, int limit = 50, string? verdict = null, string? spec = null, string? carrier = null,
        string? product = null, string? serial = null, string? decision = null, bool open = false, DateTimeOffset? from = null, DateTimeOffset? to = null)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        if (limit is < 1 or > MostRuns)
        {
            return Problems.BadRequest("limit", $"limit is {limit}; give 1 to {MostRuns}.");
        }

        if (!TryWord("verdict", verdict, out Verdict? wanted, out problem) || !TryWord("decision", decision, out DecisionKind? decided, out problem))
        {
            return problem;
        }

        RunRow[] rows = [.. catalogue.Search(new RunQuery(cell)
        {
            Before = before,
            Limit = limit,
            Verdict = wanted,
            SpecContains = spec,
            Carrier = carrier,
            ProductContains = product,
            Serial = serial,
            Decision = decided,
            Open = open,
            From = from is { } earliest ? Timestamp.From(earliest) : null,
            To = to is { } latest ? Timestamp.From(latest) : null,
        }).Select(row => AsItStands(row, host))];
        return Results.Ok(new RunList([.. rows.Zip(Summaries(cell, rows, catalogue.Book), ListedRun.Of)], rows.Length == limit ? rows[^1].Number : null));
    }

    private static IResult One(int cell, long number, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out CellHost host, out RunRow run, out IResult problem))
        {
            return problem;
        }

        run = AsItStands(run, host);
        Spec? inForce = host.Products.FirstOrDefault(spec => spec.Name == run.SpecName && spec.Version == run.SpecVersion);
        CellDefinition wired = host.DefinitionAt(run.FirstSequence);
        (long? previous, long? next) = catalogue.Neighbours(cell, number);
        return Results.Ok(new RunDetail
        {
            Run = Summaries(cell, [run], catalogue.Book)[0],
            Figures = [.. run.Figures.Select(FigureShape.Of)],
            Phases = [.. run.Phases.Select(p => PhaseShape.Of(p, run))],
            Channels = [.. wired.Channels.Select(c => LiveMapping.ToLayout(c, inForce))],
            Devices = [.. wired.Devices.Select(LiveMapping.ToLayout)],
            SpecInForce = inForce is null ? null : host.LayoutOf(inForce),
            Previous = previous,
            Next = next,
        });
    }

    private static IResult Curves(int cell, long number, CellDirectory cells, RunCatalogue catalogue, double before = 5, double after = 20)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out CellHost host, out RunRow run, out IResult problem))
        {
            return problem;
        }

        foreach ((string name, double seconds) in new[] { ("before", before), ("after", after) })
        {
            if (!(seconds >= 0 && seconds <= MostMargin))
            {
                return Problems.BadRequest(name, $"{name} is {seconds}; give 0 to {MostMargin} seconds.");
            }
        }

        return new RunCurvesResult(new RunReader(host, run, before, after));
    }

    private static IResult Shape(int cell, long number, CellDirectory cells, RunCatalogue catalogue, int columns = 96)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out CellHost host, out RunRow run, out IResult problem))
        {
            return problem;
        }

        if (columns is < 2 or > MostColumns)
        {
            return Problems.BadRequest("columns", $"columns is {columns}; give 2 to {MostColumns}.");
        }

        // A run that goes on is drawn over the time it has had so far.
        double length = (run.End ?? host.Now).SecondsSince(run.Start);
        return new RunShapeResult(new RunReader(host, run, 0, 0), Math.Max(length, 1), columns);
    }

    /// <summary>A run that goes on has its spec and figures in the engine, not yet in the catalogue.</summary>
    private static RunRow AsItStands(RunRow run, CellHost host) => run.End is null && host.OpenRun(run.Number) is { } open
        ? run with { SpecName = open.SpecName, SpecVersion = open.SpecVersion, Notes = open.Notes, Figures = open.Figures, Phases = open.Phases }
        : run;

    private static RunSummary[] Summaries(int cell, IReadOnlyList<RunRow> rows, RunBook book)
    {
        IReadOnlyDictionary<long, RunRecord> records = book.Records(cell, rows.Select(r => r.Number));
        IReadOnlyDictionary<long, Decision> decisions = book.Standing(cell, rows.Select(r => r.Number));
        return [.. rows.Select(r => RunSummary.Of(r, records.GetValueOrDefault(r.Number, RunRecord.Empty), decisions.GetValueOrDefault(r.Number)))];
    }

    private static bool TryWord<T>(string parameter, string? word, out T? value, out IResult problem)
        where T : struct, Enum
    {
        Dictionary<string, T> known = Words.Of<T>();
        bool fits = word is null || known.ContainsKey(word);
        value = word is not null && fits ? known[word] : null;
        problem = fits ? Results.Empty : Problems.BadRequest(parameter, $"\"{word}\" is no {parameter}; give one of {string.Join(", ", known.Keys)}.");
        return fits;
    }
}
