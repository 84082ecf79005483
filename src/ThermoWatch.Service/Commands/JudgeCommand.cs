using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch judge</c>: figures and verdict of recorded curves, with no service running.</summary>
public static class JudgeCommand
{
    private const int AllPass = 0;
    private const int SomethingFailed = 1;
    private const int BadInput = 2;
    private const int Undetermined = 4;

    /// <summary>Files from which on a long job shows how far it is.</summary>
    private const int ManyFiles = 20;

    // Lines for programs and people: no page, where a quote or bracket could do harm.
    private static readonly JsonWriterOptions s_readable = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>The command with its options.</summary>
    public static Command Create()
    {
        var files = new Argument<FileInfo[]>("files") { Arity = ArgumentArity.OneOrMore, Description = "Curve files (CSV, UTF-8), each one run." };
        var spec = new Option<FileInfo>("--spec") { Required = true, Description = "Spec file (JSON) with alloy and limits." };
        var gap = new Option<string?>("--gap")
        {
            Description = "Longest distance of two readings that belong together, in seconds, or \"off\". Default: five usual intervals, 1 to 3 s.",
        };
        var json = new Option<bool>("--json") { Description = "Print the judgement as JSON, one object a line when there are several files." };
        var events = new Option<bool>("--events") { Description = "Print what the engine would have said while living through the file, one JSON object a line." };
        var command = new Command("judge", """
            Judge recorded curves against a spec: every figure, its limits, one verdict.

            Example: thermowatch judge run-0001.csv --spec gate-driver.json
            Exit code: 0 all pass, 1 something failed, 4 nothing failed but something is undetermined, 2 bad input.
            """)
        {
            files, spec, gap, json, events,
        };
        command.SetAction(parse => Run(new Request(
            parse.GetRequiredValue(files), parse.GetRequiredValue(spec), parse.GetValue(gap), parse.GetValue(json), parse.GetValue(events),
            parse.InvocationConfiguration.Output, parse.InvocationConfiguration.Error)));
        return command;
    }

    private sealed record Request(FileInfo[] Files, FileInfo Spec, string? Gap, bool Json, bool Events, TextWriter Output, TextWriter Error);

    private static int Run(Request request)
    {
        if (request.Events && request.Files.Length != 1)
        {
            return Refuse(request, "--events takes one file: name one.");
        }

        TimeSpan? gap = null;
        if (request.Gap is { } text && !TryGap(text, out gap))
        {
            return Refuse(request, $"--gap is \"{text}\": give seconds above zero, such as 2.5, or off.");
        }

        if (!TryRead(request, request.Spec, out byte[] specBytes))
        {
            return BadInput;
        }

        SpecParse spec = SpecFile.Parse(specBytes);
        foreach (SpecFault fault in spec.Faults)
        {
            Refuse(request, $"{request.Spec.Name}: {fault.Problem} {fault.Remedy}");
        }

        return spec.Spec is null ? BadInput : JudgeAll(request, spec.Spec, gap);
    }

    private static int JudgeAll(Request request, Spec spec, TimeSpan? gap)
    {
        bool progress = request.Files.Length >= ManyFiles && !Console.IsErrorRedirected;
        (int failed, int undetermined, int bad, int done) = (0, 0, 0, 0);

        // A batch at a time, so that all cores work and the answers still come in the order of the files.
        foreach (FileInfo[] batch in request.Files.Chunk(4 * Environment.ProcessorCount))
        {
            var results = new (string? Output, string? Error, Verdict? Verdict)[batch.Length];
            Parallel.For(0, batch.Length, i => results[i] = JudgeOne(request, batch[i], spec, gap));
            foreach ((string? output, string? error, Verdict? verdict) in results)
            {
                request.Output.Write(output);
                if (error is not null)
                {
                    Refuse(request, error);
                }

                bad += error is null ? 0 : 1;
                failed += verdict == Verdict.Fail ? 1 : 0;
                undetermined += verdict == Verdict.Undetermined ? 1 : 0;
            }

            done += batch.Length;
            if (progress)
            {
                request.Error.Write($"\r{done} of {request.Files.Length} files judged{(done == request.Files.Length ? "\n" : "")}");
            }
        }

        return bad > 0 ? BadInput : failed > 0 ? SomethingFailed : undetermined > 0 ? Undetermined : AllPass;
    }

    private static (string? Output, string? Error, Verdict? Verdict) JudgeOne(Request request, FileInfo file, Spec spec, TimeSpan? gap)
    {
        (ICurves? curves, string problem) = CurveSource.Open(file);
        if (curves is null)
        {
            return (null, problem, null);
        }

        RecordedRun recorded;
        try
        {
            recorded = RecordedRun.Judge(curves, spec, gap);
        }
        catch (IOException changed)
        {
            return (null, $"{file}: {changed.Message}", null);
        }

        string output = request.Events ? EventLines(recorded)
            : request.Json ? Line(json => Judgement.Write(json, recorded.Run, recorded.Origin, SoftwareName.Text, request.Files.Length > 1 ? file.ToString() : null))
            : JudgementTable.Of(file.Name, curves.Survey, recorded, spec);
        return (output, null, recorded.Run.Verdict);
    }

    private static string EventLines(RecordedRun recorded)
    {
        var lines = new StringBuilder();
        foreach (EngineEvent found in recorded.Events.OrderBy(e => e.Time))
        {
            lines.Append(Line(json => Judgement.WriteEvent(json, found, recorded.Origin)));
        }

        return lines.ToString();
    }

    private static string Line(Action<Utf8JsonWriter> write)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream, s_readable))
        {
            write(json);
        }

        return stream.Length == 0 ? "" : Encoding.UTF8.GetString(stream.GetBuffer(), 0, (int)stream.Length) + "\n";
    }

    private static bool TryGap(string text, out TimeSpan? gap)
    {
        gap = TimeSpan.MaxValue;
        if (text == "off")
        {
            return true;
        }

        bool number = double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double seconds);
        gap = number && seconds is > 0 and < 1e9 ? TimeSpan.FromSeconds(seconds) : null;
        return gap is not null;
    }

    private static bool TryRead(Request request, FileInfo file, out byte[] bytes)
    {
        bytes = [];
        try
        {
            bytes = File.ReadAllBytes(file.FullName);
            return true;
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            Refuse(request, CurveSource.Unreadable(file, error));
            return false;
        }
    }

    private static int Refuse(Request request, string problem)
    {
        request.Error.WriteLine("thermowatch judge: " + problem);
        return BadInput;
    }
}
