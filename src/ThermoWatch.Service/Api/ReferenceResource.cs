using System.Text.Json.Serialization;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary>Released runs, what production runs look like against them, and the service log that ages them.</summary>
internal static class ReferenceResource
{
    public static void MapReferences(this IEndpointRouteBuilder api)
    {
        api.MapGet("/cells/{cell:int}/references", References)
            .Produces<ReferenceList>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Runs that a person has released as references, the withdrawn ones too.");
        api.MapPost("/cells/{cell:int}/runs/{number:long}/reference", (int cell, long number, WhoAndWhy who, CellDirectory cells, RunCatalogue catalogue) =>
                Change(cell, number, who, cells, catalogue, release: true))
            .Produces<ReferenceList>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Releases an ended run as a reference.");
        api.MapPost("/cells/{cell:int}/runs/{number:long}/reference/withdraw", (int cell, long number, WhoAndWhy who, CellDirectory cells, RunCatalogue catalogue) =>
                Change(cell, number, who, cells, catalogue, release: false))
            .Produces<ReferenceList>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Takes a reference back.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}/comparison", Compare)
            .Produces<ComparisonShape>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("A run held against the released runs of the same product, spec, recipe and load: consistent, differs or notComparable.");
        api.MapGet("/cells/{cell:int}/service-log", (int cell, CellDirectory cells, RunCatalogue catalogue) =>
                cells.TryFind(cell, out _, out IResult problem) ? Results.Ok(Log(cell, catalogue)) : problem)
            .Produces<ServiceLogShape>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What was done to the machine, in the order of the work.");
        api.MapPost("/cells/{cell:int}/service-log", AddService)
            .Produces<ServiceLogShape>(StatusCodes.Status201Created).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Adds to the service log; every trend that the work touches begins anew there.");
    }

    private static IResult References(int cell, CellDirectory cells, RunCatalogue catalogue) =>
        cells.TryFind(cell, out _, out IResult problem) ? Results.Ok(List(cell, catalogue)) : problem;

    private static IResult Change(int cell, long number, WhoAndWhy who, CellDirectory cells, RunCatalogue catalogue, bool release)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out CellHost host, out RunRow run, out IResult problem))
        {
            return problem;
        }

        if (string.IsNullOrWhiteSpace(who.By) || string.IsNullOrWhiteSpace(who.Reason))
        {
            return Problems.BadRequest("body", "by, reason: a reference needs the name of the person who answers for it, and why.");
        }

        if (release && run.End is null)
        {
            return Problems.BadRequest("number", $"Run {number} goes on; release it when it has ended.");
        }

        ReferenceRelease? standing = catalogue.Book.References(cell).LastOrDefault(r => r.Run == number && r.Withdrawn is null);
        if (release && standing is not null)
        {
            return Problems.Of(
                StatusCodes.Status409Conflict, "It is one already", $"Run {number} has been a reference since {standing.Time}, by {standing.By}. Withdraw it first to release it under another name or reason.");
        }

        if (!release && standing is null)
        {
            return Problems.Of(
                StatusCodes.Status409Conflict, "It is none", $"Run {number} is no reference now, so there is nothing to take back. What there is stands in /api/v1/cells/{cell}/references.");
        }

        if (release)
        {
            catalogue.Book.ReleaseAsReference(cell, number, host.Now, who.By.Trim(), who.Reason.Trim());
        }
        else
        {
            catalogue.Book.WithdrawReference(cell, number, host.Now, who.By.Trim(), who.Reason.Trim());
        }

        return Results.Ok(List(cell, catalogue));
    }

    private static IResult Compare(int cell, long number, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out _, out RunRow run, out IResult problem))
        {
            return problem;
        }

        ProductionComparison found = CompareWithReleased(catalogue, run);
        return Results.Ok(new ComparisonShape(
            Words.Of(found.Result), found.Runs, found.Reason,
            [.. found.Figures.Select(f => new BandShape(f.Figure, f.Unit, f.Value, f.Median, f.Low, f.High, f.Runs, f.Inside, f.Apart))]));
    }

    /// <summary>A run of the catalogue against the runs that are released as references.</summary>
    internal static ProductionComparison CompareWithReleased(RunCatalogue catalogue, RunRow run)
    {
        (int cell, long number) = (run.Cell, run.Number);
        List<long> released = [.. catalogue.Book.References(cell).Where(r => r.Withdrawn is null).Select(r => r.Run)];
        IReadOnlyDictionary<long, RunRecord> records = catalogue.Book.Records(cell, [.. released, number]);
        return ProductionComparison.Of(
            Of(run, records), released.Select(r => catalogue.Find(cell, r)).OfType<RunRow>().Where(r => Measured(r) == Measured(run)).Select(r => Of(r, records)), catalogue.Book.ServiceLog(cell).Select(l => l.Entry));
    }

    /// <summary>Runs with product sensors end and are loaded otherwise: they are no measure for those without.</summary>
    private static bool Measured(RunRow run) => run.Verdict is not null;

    private static ProductionRun Of(RunRow run, IReadOnlyDictionary<long, RunRecord> records)
    {
        RunRecord record = records.GetValueOrDefault(run.Number, RunRecord.Empty);
        return new ProductionRun(run.Number, run.Start, new ProductionKey(record.Product, run.SpecName, run.SpecVersion, record.Recipe ?? run.Recipe, record.Load ?? run.Load), run.Figures);
    }

    private static IResult AddService(int cell, ServiceRequest request, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        Dictionary<string, ServiceKind> kinds = Words.Of<ServiceKind>();
        if (request.Kind is null || !kinds.TryGetValue(request.Kind, out ServiceKind kind))
        {
            return Problems.BadRequest("kind", $"\"{request.Kind}\" is no kind of work; give one of {string.Join(", ", kinds.Keys)}.");
        }

        var entry = new ServiceEntry(
            request.Time is { } time ? Timestamp.From(time) : host.Now, kind, request.By?.Trim() ?? "", request.Remark?.Trim() ?? "", request.AmountMillilitre, request.Lot);
        List<string> wrong = [.. entry.Problems()];
        if (entry.Time > host.Now)
        {
            wrong.Add("time: it lies in the future; enter work when it is done.");
        }

        if (wrong.Count > 0)
        {
            return Problems.BadRequest("body", string.Join(" ", wrong));
        }

        catalogue.Book.AddService(cell, entry);
        return Results.Created($"/api/v1/cells/{cell}/service-log", Log(cell, catalogue));
    }

    private static ReferenceList List(int cell, RunCatalogue catalogue) => new(
        [.. catalogue.Book.References(cell).Select(r => new ReferenceShape(
            r.Run, r.Time.ToString(), r.By, r.Reason, r.Withdrawn?.ToString(), r.WithdrawnBy, r.WithdrawnReason))]);

    private static ServiceLogShape Log(int cell, RunCatalogue catalogue) => new(
        [.. catalogue.Book.ServiceLog(cell).Select(l => new ServiceShape(
            l.Id, l.Entry.Time.ToString(), Words.Of(l.Entry.Kind), l.Entry.By, l.Entry.Remark, l.Entry.AmountMillilitre, l.Entry.Lot))]);

    internal sealed record WhoAndWhy(string? By, string? Reason);

    internal sealed record ReferenceList(IReadOnlyList<ReferenceShape> References);

    internal sealed record ReferenceShape(long Run, string Time, string By, string Reason, string? Withdrawn, string? WithdrawnBy, string? WithdrawnReason);

    /// <param name="Result">consistent, differs or notComparable.</param>
    /// <param name="Runs">How many released runs were comparable.</param>
    /// <param name="Reason">Why nothing, or not everything, was compared.</param>
    /// <param name="Figures">The furthest off first.</param>
    internal sealed record ComparisonShape(string Result, int Runs, string? Reason, IReadOnlyList<BandShape> Figures);

    /// <param name="Figure">Its name.</param>
    /// <param name="Unit">Its unit.</param>
    /// <param name="Value">This run's; null if it has none.</param>
    /// <param name="Median">Of the released runs.</param>
    /// <param name="Low">Lower end of their band.</param>
    /// <param name="High">Upper end of their band.</param>
    /// <param name="Runs">How many released runs drew it.</param>
    /// <param name="Inside">Whether the value lies in the band.</param>
    /// <param name="Differs">Whether it is missing, or lies further off than chance takes single figures of good runs.</param>
    internal sealed record BandShape(string Figure, string Unit, double? Value, double Median, double Low, double High, int Runs, bool Inside, bool Differs);

    internal sealed record ServiceLogShape(IReadOnlyList<ServiceShape> Entries);

    internal sealed record ServiceShape(
        long Id, string Time, string Kind, string By, string Remark, [property: JsonPropertyName("amount_ml")] double? AmountMillilitre, string? Lot);

    /// <summary>Work on the machine; without a time it was done now.</summary>
    internal sealed record ServiceRequest(
        DateTimeOffset? Time, string? Kind, string? By, string? Remark, [property: JsonPropertyName("amount_ml")] double? AmountMillilitre, string? Lot);
}
