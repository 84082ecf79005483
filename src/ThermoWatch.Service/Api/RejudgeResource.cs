using System.Text;
using System.Text.Json;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Api;

/// <summary>Runs of the record judged once more: asked for, watched, and read beside the verdicts of then.</summary>
internal static class RejudgeResource
{
    private const int MostListed = 100;

    public static void MapRejudgements(this IEndpointRouteBuilder api)
    {
        api.MapPost("/cells/{cell:int}/rejudgements", Begin)
            .Produces<JobShape>(StatusCodes.Status202Accepted).ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status409Conflict)
            .WithSummary("Judges runs once more by another spec version or calibration, or by this program's algorithm; the verdicts of then stay. Its job says how far it is.");
        api.MapGet("/cells/{cell:int}/rejudgements", List)
            .Produces<RejudgementList>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Re-judgements of a cell, newest first, and the jobs since the service began.");
        api.MapGet("/cells/{cell:int}/rejudgements/jobs/{id:long}", (int cell, long id, CellDirectory cells, RejudgeDesk desk) =>
                TryJob(cell, id, cells, desk, out RejudgeJob job, out IResult problem) ? Results.Ok(JobShape.Of(job)) : problem)
            .Produces<JobShape>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("How far a job is; its `number` names the result once it is done.");
        api.MapDelete("/cells/{cell:int}/rejudgements/jobs/{id:long}", (int cell, long id, CellDirectory cells, RejudgeDesk desk) =>
            {
                if (!TryJob(cell, id, cells, desk, out RejudgeJob job, out IResult problem))
                {
                    return problem;
                }

                job.Cancel();
                return Results.Accepted($"/api/v1/cells/{cell}/rejudgements/jobs/{id}", JobShape.Of(job));
            })
            .Produces<JobShape>(StatusCodes.Status202Accepted).ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Ends a job at its next run; nothing of it is kept.");
        api.MapGet("/cells/{cell:int}/rejudgements/{number:long}", One)
            .Produces<RejudgementShape>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("What came out: with `all=true` every run, else those with another verdict or none. Whose boards, both verdicts, what moved, what was decided.");
        api.MapGet("/cells/{cell:int}/runs/{number:long}/rejudgements", OfRun)
            .Produces<RunRejudgements>().ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Every time that a run was judged once more, oldest first.");
    }

    private static IResult Begin(int cell, RejudgeRequest request, CellDirectory cells, RunCatalogue catalogue, RejudgeDesk desk)
    {
        if (!cells.TryFind(cell, out CellHost host, out IResult problem))
        {
            return problem;
        }

        List<ConfigurationFault> faults = [];
        if (string.IsNullOrWhiteSpace(request.By) || string.IsNullOrWhiteSpace(request.Reason))
        {
            faults.Add(new ConfigurationFault("by, reason", "are missing", "Say who asks, and why."));
        }

        var order = new RejudgeOrder
        {
            Spec = SpecOf(request, catalogue, host.Now, faults),
            Calibrations = CalibrationsOf(request.Calibrations, faults),
            ReadHigh = request.ReadHigh ?? [],
            From = request.From is { } from ? Timestamp.From(from) : null,
            To = request.To is { } to ? Timestamp.From(to) : null,
            Run = request.Run,
        };
        foreach (string unknown in order.UnknownIn(host.Definition))
        {
            string where = order.Calibrations.ContainsKey(unknown) ? "calibrations" : "readHigh";
            faults.Add(new ConfigurationFault($"{where}.{unknown}", "is no channel of this cell", $"It has {string.Join(", ", host.Definition.Channels.Select(c => c.Id))}."));
        }

        if (order is { From: { } first, To: { } last } && first >= last)
        {
            faults.Add(new ConfigurationFault("from, to", "leave no time between them", "Let from lie before to."));
        }

        if (order.Run is { } run && catalogue.Find(cell, run) is not { End: not null })
        {
            faults.Add(new ConfigurationFault("run", $"{run} is no run of this cell that has ended", $"Those are listed at /api/v1/cells/{cell}/runs."));
        }

        if (faults.Count > 0)
        {
            return Problems.BadRequest(faults);
        }

        return desk.Begin(host, order, request.By!.Trim(), request.Reason!.Trim()) is { } job
            ? Results.Accepted($"/api/v1/cells/{cell}/rejudgements/jobs/{job.Id}", JobShape.Of(job))
            : Problems.Of(StatusCodes.Status409Conflict, "Another one is at work", "Wait until it is done, or end it with DELETE on its job.");
    }

    private static Spec? SpecOf(RejudgeRequest request, RunCatalogue catalogue, Timestamp now, List<ConfigurationFault> faults)
    {
        if (request.Spec is not { ValueKind: not JsonValueKind.Null } given)
        {
            return null;
        }

        if (given.ValueKind != JsonValueKind.Object)
        {
            faults.Add(new ConfigurationFault("spec", "is no spec", $"Give {{\"name\": ..., \"version\": ...}} of a known one ({Known(catalogue)}), or the whole spec."));
            return null;
        }

        string text = given.GetRawText();
        if (!given.TryGetProperty("limits", out _))
        {
            string name = given.TryGetProperty("name", out JsonElement n) && n.ValueKind == JsonValueKind.String ? n.GetString()! : "";
            int version = given.TryGetProperty("version", out JsonElement v) && v.TryGetInt32(out int number) ? number : 0;
            if (catalogue.FindSpec(name, version) is not { } kept)
            {
                faults.Add(new ConfigurationFault("spec", $"names {name}, version {version}, which is not here", $"Known: {Known(catalogue)}. Or send the whole spec."));
                return null;
            }

            text = kept.Json;
        }

        SpecParse parse = SpecFile.Parse(Encoding.UTF8.GetBytes(text));
        faults.AddRange(parse.Faults.Select(f => new ConfigurationFault("spec" + f.Path, f.Problem, f.Remedy)));

        // What judges runs must be found again, so a spec that comes with the request is kept first.
        if (parse.Spec is { } spec && faults.Count == 0
            && catalogue.SaveSpec(new SpecVersion(spec.Name, spec.Version, text, now, request.By!.Trim())) is { } refusal)
        {
            faults.Add(new ConfigurationFault("spec", "cannot be kept", refusal));
        }

        return parse.Spec;
    }

    private static string Known(RunCatalogue catalogue) => string.Join(", ", catalogue.Specs().Select(s => $"{s.Name} {s.Version}"));

    private static Dictionary<string, Calibration> CalibrationsOf(JsonElement? given, List<ConfigurationFault> faults)
    {
        Dictionary<string, Calibration> calibrations = [];
        if (given is { ValueKind: not (JsonValueKind.Object or JsonValueKind.Null) })
        {
            faults.Add(new ConfigurationFault("calibrations", "is no object", "Give channels and their calibrations: {\"tc7\": {...}}."));
        }
        else if (given is { ValueKind: JsonValueKind.Object } channels)
        {
            foreach (JsonProperty channel in channels.EnumerateObject())
            {
                if (CalibrationReader.ReadOne(new JsonScope(channel.Value, $"calibrations.{channel.Name}", faults), needsDate: false) is { } calibration)
                {
                    calibrations[channel.Name] = calibration;
                }
            }
        }

        return calibrations;
    }

    private static IResult List(int cell, CellDirectory cells, RunCatalogue catalogue, RejudgeDesk desk) => cells.TryFind(cell, out _, out IResult problem)
        ? Results.Ok(new RejudgementList([.. catalogue.Rejudgements.All(cell, MostListed).Select(s => RejudgementShape.Of(s, null))], [.. desk.Of(cell).Select(JobShape.Of)]))
        : problem;

    private static IResult One(int cell, long number, CellDirectory cells, RunCatalogue catalogue, bool all = false) =>
        !cells.TryFind(cell, out _, out IResult problem) ? problem
        : catalogue.Rejudgements.Find(cell, number) is not { } found
            ? Problems.NotFound($"Cell {cell} has no re-judgement {number}. What it has stands in /api/v1/cells/{cell}/rejudgements.")
            : Results.Ok(RejudgementShape.Of(found, RejudgedRunShape.Of(catalogue, cell, catalogue.Rejudgements.RunsOf(cell, number, onlyOther: !all))));

    private static IResult OfRun(int cell, long number, CellDirectory cells, RunCatalogue catalogue)
    {
        if (!cells.TryFindRun(catalogue, cell, number, out _, out _, out IResult problem))
        {
            return problem;
        }

        IReadOnlyList<(long Number, RejudgedRun Judged)> found = catalogue.Rejudgements.Of(cell, number);
        return Results.Ok(new RunRejudgements([.. found.Select(f => new RunRejudgement(
            RejudgementShape.Of(catalogue.Rejudgements.Find(cell, f.Number)!, null), RejudgedRunShape.Of(catalogue, cell, [f.Judged])[0]))]));
    }

    private static bool TryJob(int cell, long id, CellDirectory cells, RejudgeDesk desk, out RejudgeJob job, out IResult problem)
    {
        job = null!;
        if (!cells.TryFind(cell, out _, out problem))
        {
            return false;
        }

        job = desk.Of(cell).FirstOrDefault(j => j.Id == id)!;
        problem = job is null ? Problems.NotFound($"There is no job {id} since the service began. What was done before stands in /api/v1/cells/{cell}/rejudgements.") : Results.Empty;
        return job is not null;
    }

    /// <summary>By what and over which runs to judge once more.</summary>
    /// <param name="By">Name of the person.</param>
    /// <param name="Reason">Why.</param>
    /// <param name="Spec">A whole spec, or name and version of one that is known; null: every run by its own.</param>
    /// <param name="Calibrations">Calibrations by channel, as the configuration writes them, in place of the channel's own.</param>
    /// <param name="ReadHigh">By how much channels showed too much beside their own calibration, in their unit.</param>
    /// <param name="Run">Only this run, such as one that waited for its product's spec.</param>
    /// <param name="From">Only runs that end after this.</param>
    /// <param name="To">Only runs that begin before this.</param>
    internal sealed record RejudgeRequest(
        string? By, string? Reason, JsonElement? Spec, JsonElement? Calibrations, Dictionary<string, double>? ReadHigh, long? Run, DateTimeOffset? From, DateTimeOffset? To);

    /// <param name="Id">Number of the job since the service began.</param>
    /// <param name="State">running, done, cancelled or failed.</param>
    /// <param name="By">Name of the person.</param>
    /// <param name="Reason">Why.</param>
    /// <param name="Time">When it was asked for, RFC 3339.</param>
    /// <param name="Asked">By what to judge.</param>
    /// <param name="Done">Runs that have been looked at.</param>
    /// <param name="Total">Runs that there are.</param>
    /// <param name="Other">Runs with another verdict so far.</param>
    /// <param name="Seconds">How long it has taken.</param>
    /// <param name="Number">Number of the result; null before it is done.</param>
    /// <param name="Problem">Why it could not go on.</param>
    internal sealed record JobShape(
        long Id, string State, string By, string Reason, string Time, IReadOnlyList<FieldChange> Asked, int Done, int Total, int Other, double Seconds, long? Number, string? Problem)
    {
        public static JobShape Of(RejudgeJob job) => new(
            job.Id, Words.Of(job.State), job.By, job.Reason, job.Moment.ToString(), job.Asked, job.Done, job.Total, job.Other, Math.Round(job.Seconds, 1), job.Number, job.Problem);
    }

    internal sealed record RejudgementList(IReadOnlyList<RejudgementShape> Rejudgements, IReadOnlyList<JobShape> Jobs);

    /// <param name="Number">Its number in the cell.</param>
    /// <param name="Time">When, RFC 3339.</param>
    /// <param name="By">Name of the person.</param>
    /// <param name="Reason">Why.</param>
    /// <param name="Software">Name and version of the program.</param>
    /// <param name="Algorithm">Version of the rules by which figures were computed.</param>
    /// <param name="Asked">By what to judge.</param>
    /// <param name="Judged">Runs that were looked at.</param>
    /// <param name="Other">Runs with another verdict than they had.</param>
    /// <param name="NotJudged">Runs that could not be judged.</param>
    /// <param name="Runs">Null in lists.</param>
    internal sealed record RejudgementShape(
        long Number, string Time, string By, string Reason, string Software, string Algorithm, IReadOnlyList<FieldChange> Asked,
        int Judged, int Other, int NotJudged, IReadOnlyList<RejudgedRunShape>? Runs)
    {
        public static RejudgementShape Of(RejudgementSummary s, IReadOnlyList<RejudgedRunShape>? runs) => new(
            s.Number, s.Time.ToString(), s.By, s.Reason, s.Software, s.Algorithm, s.Asked, s.Runs, s.Other, s.NotJudged, runs);
    }

    internal sealed record RunRejudgements(IReadOnlyList<RunRejudgement> Rejudgements);

    internal sealed record RunRejudgement(RejudgementShape Rejudgement, RejudgedRunShape Run);
}
