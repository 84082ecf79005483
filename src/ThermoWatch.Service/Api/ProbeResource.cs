using System.Text.Json;
using System.Threading.Channels;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Probing;

namespace ThermoWatch.Service.Api;

/// <summary><c>POST /api/v1/probe</c>: asks one device and says what it answers and what is wrong with its wiring or settings.</summary>
/// <remarks>
/// The answer is the report as JSON. With <c>Accept: application/x-ndjson</c> it comes as lines: <c>{"step","done","of"}</c> while the
/// probe is at work, and <c>{"report": {...}}</c> or <c>{"problem": {...}}</c> last. Ending the request ends the probe.
/// </remarks>
internal static class ProbeResource
{
    private const string Lines = "application/x-ndjson";
    private const long MostBytes = 256 * 1024;
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web);
    private static readonly byte[] NewLine = [(byte)'\n'];

    public static void MapProbe(this IEndpointRouteBuilder api) =>
        api.MapPost("/probe", AnswerAsync)
            .Produces<ProbeReport>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound).ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status413PayloadTooLarge).ProducesProblem(StatusCodes.Status415UnsupportedMediaType)
            .WithSummary("Ask one device once and say what is wrong with its wiring or settings: `{\"cell\": 1, \"device\": \"amplifier\"}` or `{\"candidate\": {...}}`; with `Accept: application/x-ndjson` its progress line by line.");

    private static async Task<IResult> AnswerAsync(HttpContext context, ProbeDesk desk, IHostApplicationLifetime lifetime)
    {
        (ProbeRequest? wish, IResult? problem) = await ReadAsync(context.Request);
        if (wish is null)
        {
            return problem!;
        }

        (ProbedDevice? device, problem) = Find(desk, wish);
        if (device is null)
        {
            return problem!;
        }

        using var stop = CancellationTokenSource.CreateLinkedTokenSource(context.RequestAborted, lifetime.ApplicationStopping);
        if (context.Request.Headers.Accept.Any(a => a?.Contains(Lines, StringComparison.OrdinalIgnoreCase) == true))
        {
            await StreamAsync(context, progress => desk.Probe(device, wish.Answers, progress, stop.Token));
            return Results.Empty;
        }

        ProbeOutcome outcome = await OnItsOwnThread(() => desk.Probe(device, wish.Answers, null, stop.Token));
        return outcome.Report is { } report ? TypedResults.Json(report, Json) : Refused(outcome.Refusal!);
    }

    private static async Task<(ProbeRequest? Wish, IResult? Problem)> ReadAsync(HttpRequest request)
    {
        if (!request.HasJsonContentType())
        {
            return (null, Problems.Of(StatusCodes.Status415UnsupportedMediaType, "The request is not JSON.", "Send the header Content-Type: application/json."));
        }

        if (request.ContentLength is > MostBytes or null)
        {
            return (null, Problems.Of(StatusCodes.Status413PayloadTooLarge, "The request is too long.", $"Send at most {MostBytes} bytes, with their number in Content-Length."));
        }

        try
        {
            using JsonDocument body = await JsonDocument.ParseAsync(request.Body, default, request.HttpContext.RequestAborted);
            List<ConfigurationFault> faults = [];
            ProbeRequest? wish = ProbeRequest.Read(body.RootElement, faults);
            return (wish, wish is null ? Problems.BadRequest(faults) : null);
        }
        catch (JsonException wrong)
        {
            return (null, Problems.Of(StatusCodes.Status400BadRequest, "The request is not JSON.", $"Mend line {wrong.LineNumber + 1}; look for a missing comma, quote or bracket."));
        }
    }

    private static (ProbedDevice? Device, IResult? Problem) Find(ProbeDesk desk, ProbeRequest wish)
    {
        if (wish.Candidate is { } candidate)
        {
            return (new ProbedDevice(candidate, null), null);
        }

        if (desk.DevicesOf(wish.Cell!.Value) is not { } devices)
        {
            return (null, Problems.NotFound($"There is no cell {wish.Cell} here. Cells: {string.Join(", ", desk.Cells)}."));
        }

        ProbedDevice? device = devices.FirstOrDefault(d => d.Options.Id == wish.DeviceId);
        return (device, device is null
            ? Problems.NotFound($"Cell {wish.Cell} has no device \"{wish.DeviceId}\". Use one of: {string.Join(", ", devices.Select(d => d.Options.Id))}.")
            : null);
    }

    private static async Task StreamAsync(HttpContext context, Func<IProgress<ProbeProgress>, ProbeOutcome> probe)
    {
        context.Response.ContentType = Lines;
        var steps = Channel.CreateBounded<ProbeProgress>(new BoundedChannelOptions(16) { FullMode = BoundedChannelFullMode.DropOldest });
        Task<ProbeOutcome> running = OnItsOwnThread(() => probe(new Steps(steps.Writer)));
        _ = running.ContinueWith(_ => steps.Writer.Complete(), TaskScheduler.Default);
        try
        {
            await foreach (ProbeProgress step in steps.Reader.ReadAllAsync(context.RequestAborted))
            {
                await WriteLineAsync(context, step);
            }
        }
        catch (OperationCanceledException)
        {
            // The caller has gone; the probe ends by the same token.
        }

        ProbeOutcome outcome = await running;
        if (!context.RequestAborted.IsCancellationRequested)
        {
            await WriteLineAsync(context, outcome.Report is { } report
                ? new { report }
                : new { problem = new { title = InUse, status = StatusCodes.Status409Conflict, detail = outcome.Refusal } });
        }
    }

    private static async Task WriteLineAsync(HttpContext context, object line)
    {
        await JsonSerializer.SerializeAsync(context.Response.Body, line, line.GetType(), Json, context.RequestAborted);
        await context.Response.Body.WriteAsync(NewLine, context.RequestAborted);
        await context.Response.Body.FlushAsync(context.RequestAborted);
    }

    private const string InUse = "The wire is in use.";

    private static IResult Refused(string why) => Problems.Of(StatusCodes.Status409Conflict, InUse, why);

    // A probe blocks for as long as a device takes: it must not hold one of the threads that serve pages.
    private static Task<T> OnItsOwnThread<T>(Func<T> work) =>
        Task.Factory.StartNew(work, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);

    private sealed class Steps : IProgress<ProbeProgress>
    {
        private readonly ChannelWriter<ProbeProgress> _writer;

        public Steps(ChannelWriter<ProbeProgress> writer) => _writer = writer;

        // Only for the eye: a reader that is slow misses some.
        public void Report(ProbeProgress value) => _writer.TryWrite(value);
    }
}
