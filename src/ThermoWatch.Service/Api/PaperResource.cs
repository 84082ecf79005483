using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary>What people say of a run: its record with every change, and what they decide.</summary>
internal static class PaperResource
{
    public static void MapPapers(this IEndpointRouteBuilder api)
    {
        api.MapGet("/cells/{cell:int}/runs/{number:long}/record", Record)
            .Produces<RecordShape>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What has been said of a run, and every change of it.");
        api.MapPatch("/cells/{cell:int}/runs/{number:long}/record", Edit)
            .Produces<RecordShape>().ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Says more of a run: what is left out stays as it is, an empty text clears a field. Every change is kept with its author.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}/decisions", Decisions)
            .Produces<DecisionList>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What has been decided of a run, oldest first: the last one stands.");
        api.MapPost("/cells/{cell:int}/runs/{number:long}/decisions", Decide)
            .Produces<DecisionList>(StatusCodes.Status201Created).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status400BadRequest)
            .WithSummary("Decides: release, hold, inspect, rework or scrap. It never changes the verdict.");
        api.MapGet("/boards/{serial}/passes", (string serial, RunCatalogue catalogue) =>
                new PassList(serial, [.. catalogue.Book.PassesOf(serial).Select(p => new PassShape(p.Cell, p.Run))]))
            .WithSummary("The runs that a board has been through: its heating passes.");
    }

    private static IResult Record(int cell, long number, CellDirectory cells, RunCatalogue catalogue) =>
        cells.TryFindRun(catalogue, cell, number, out _, out _, out IResult problem) ? Results.Ok(Shape(cell, number, catalogue)) : problem;

    private static IResult Edit(int cell, long number, RecordRequest request, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out CellHost host, out _, out IResult problem))
        {
            return problem;
        }

        RunRecordEdit edit = request.ToEdit();
        List<string> wrong = [.. edit.Problems()];
        if (string.IsNullOrWhiteSpace(request.By))
        {
            wrong.Insert(0, "by: say who changes the record.");
        }

        if (wrong.Count > 0)
        {
            return Problems.BadRequest("body", string.Join(" ", wrong));
        }

        catalogue.Book.Edit(cell, number, edit, host.Now, request.By!.Trim(), request.Reason);
        return Results.Ok(Shape(cell, number, catalogue));
    }

    private static IResult Decisions(int cell, long number, CellDirectory cells, RunCatalogue catalogue) =>
        cells.TryFindRun(catalogue, cell, number, out _, out _, out IResult problem) ? Results.Ok(DecisionList.Of(catalogue.Book.Decisions(cell, number))) : problem;

    private static IResult Decide(int cell, long number, DecisionRequest request, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out CellHost host, out RunRow run, out IResult problem))
        {
            return problem;
        }

        if (run.End is null)
        {
            return Problems.BadRequest("number", $"Run {number} goes on; decide when it has ended.");
        }

        Dictionary<string, DecisionKind> kinds = Words.Of<DecisionKind>();
        if (request.Kind is null || !kinds.TryGetValue(request.Kind, out DecisionKind kind))
        {
            return Problems.BadRequest("kind", $"\"{request.Kind}\" is no decision; give one of {string.Join(", ", kinds.Keys)}.");
        }

        var decision = new Decision(host.Now, kind, request.By?.Trim() ?? "", request.Reason?.Trim() ?? "", request.Reference, request.What);
        IReadOnlyList<string> missing = decision.Missing();
        if (missing.Count > 0)
        {
            return Problems.BadRequest("body", string.Join(" ", missing));
        }

        catalogue.Book.Decide(cell, number, decision);
        return Results.Created($"/api/v1/cells/{cell}/runs/{number}/decisions", DecisionList.Of(catalogue.Book.Decisions(cell, number)));
    }

    private static RecordShape Shape(int cell, long number, RunCatalogue catalogue)
    {
        RunRecord record = catalogue.Book.Record(cell, number);
        return new RecordShape(
            record.Product, record.Serials, record.Position, record.Load, record.Recipe, record.PasteLot, record.PasteOpened?.ToString(), record.FloorLifeEnds?.ToString(),
            record.Operator, record.Sensors, record.Remarks,
            [.. catalogue.Book.Changes(cell, number).Select(c => new ChangeShape(c.Time.ToString(), c.By, c.Reason, c.Changes))]);
    }

    /// <summary>As in the run's record; changes oldest first.</summary>
    internal sealed record RecordShape(
        string? Product, IReadOnlyList<string> Serials, string? Position, int? Load, int? Recipe, string? PasteLot, string? PasteOpened, string? FloorLifeEnds,
        string? Operator, IReadOnlyList<SensorPlacement> Sensors, string? Remarks, IReadOnlyList<ChangeShape> Changes);

    internal sealed record ChangeShape(string Time, string By, string? Reason, IReadOnlyList<FieldChange> Changes);

    /// <summary>Who says what of a run, and why, if there is a reason to give.</summary>
    internal sealed record RecordRequest(
        string? By, string? Reason, string? Product, IReadOnlyList<string>? Serials, string? Position, int? Load, int? Recipe, string? PasteLot,
        DateTimeOffset? PasteOpened, DateTimeOffset? FloorLifeEnds, string? Operator, IReadOnlyList<SensorPlacement>? Sensors, string? Remarks)
    {
        public RunRecordEdit ToEdit() => new()
        {
            Product = Product,
            Serials = Serials is null ? null : [.. Serials],
            Position = Position,
            Load = Load,
            Recipe = Recipe,
            PasteLot = PasteLot,
            PasteOpened = PasteOpened is { } opened ? Timestamp.From(opened) : null,
            FloorLifeEnds = FloorLifeEnds is { } ends ? Timestamp.From(ends) : null,
            Operator = Operator,
            Sensors = Sensors is null ? null : [.. Sensors],
            Remarks = Remarks,
        };
    }

    internal sealed record DecisionRequest(string? Kind, string? By, string? Reason, string? Reference, string? What);

    internal sealed record DecisionList(IReadOnlyList<DecisionShape> Decisions)
    {
        public static DecisionList Of(IEnumerable<Decision> decisions) => new([.. decisions.Select(DecisionShape.Of)]);
    }

    /// <param name="Serial">The board's serial number.</param>
    /// <param name="Passes">In the order of time.</param>
    internal sealed record PassList(string Serial, IReadOnlyList<PassShape> Passes);

    internal sealed record PassShape(int Cell, long Run);
}

/// <summary>A decision.</summary>
internal sealed record DecisionShape(string Time, string Kind, string By, string Reason, string? Reference, string? What)
{
    public static DecisionShape Of(Decision decision) =>
        new(decision.Time.ToString(), Words.Of(decision.Kind), decision.By, decision.Reason, decision.Reference, decision.What);
}
