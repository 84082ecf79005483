using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Commands.Recalibrate;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch rejudge</c>: what another spec, calibration or algorithm makes of the runs of a record, beside the verdicts of then.</summary>
public static class RejudgeCommand
{
    private static readonly TimeSpan ProgressEvery = TimeSpan.FromSeconds(1);
    private static readonly JsonSerializerOptions s_json = new(JsonSerializerDefaults.Web);

    /// <summary>The verb with its options and its action.</summary>
    public static Command Create() => Create(TimeProvider.System);

    internal static Command Create(TimeProvider time)
    {
        var data = new Option<string>("--data") { Required = true, Description = "Data folder of a service that is stopped, or a restored backup. A running service does the same at /api/v1/cells/N/rejudgements." };
        var cell = new Option<int>("--cell") { Description = "Number of the cell.", DefaultValueFactory = _ => 1 };
        var spec = new Option<FileInfo?>("--spec") { Description = "Spec file for the runs that were judged by a spec of the same name, or by none; the others keep theirs." };
        var calibration = new Option<FileInfo?>("--calibration") { Description = "Calibrations by channel (JSON), as for recalibrate: they take the place of the channels' own." };
        var high = new Option<string[]>("--read-high") { Description = "CHANNEL=AMOUNT: the channel showed so much too high, beside its own calibration (K, or its unit). May be given several times.", Arity = ArgumentArity.ZeroOrMore };
        var from = new Option<DateTimeOffset?>("--from") { Description = "Only runs that end after this." };
        var to = new Option<DateTimeOffset?>("--to") { Description = "Only runs that begin before this." };
        var run = new Option<long?>("--run") { Description = "Only this run, such as one that waited for its product's spec." };
        var all = new Option<bool>("--all") { Description = "Show every run, not only those with another verdict or none." };
        var json = new Option<bool>("--json") { Description = "The result as one JSON object." };
        var keep = new Option<bool>("--keep") { Description = "Keep the result in the record, beside the verdicts of then; needs --by and --reason." };
        var by = new Option<string?>("--by") { Description = "Your name." };
        var reason = new Option<string?>("--reason") { Description = "Why." };
        var command = new Command("rejudge", """
            Judge runs of a record once more, by another spec version or calibration or by this program's algorithm. Verdicts of then stay as they are.

            Example: thermowatch rejudge --data /var/lib/thermowatch --read-high tc7=3.1
            Example: thermowatch rejudge --data /var/lib/thermowatch --spec gate-driver-4.json --from 2026-01-01 --keep --by "A. Weber" --reason "8D 117"
            Exit code: 0 no run came out worse, 1 one fails that did not, 4 none fails that did not but one is undetermined that was not, 2 bad input, 3 no record, or ended before it was done.
            """)
        {
            data, cell, spec, calibration, high, run, from, to, all, json, keep, by, reason,
        };
        command.SetAction((parsed, stopping) =>
        {
            Terminal terminal = new(parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error, time);
            List<string> problems = [];
            RejudgeOrder order = new()
            {
                Spec = parsed.GetValue(spec) is { } specFile ? ReadSpec(specFile, problems) : null,
                Calibrations = parsed.GetValue(calibration) is { } file ? ReadCalibrations(file, problems) : ImmutableDictionary<string, Calibration>.Empty,
                ReadHigh = ReadHigh(parsed.GetValue(high) ?? [], problems),
                Run = parsed.GetValue(run),
                From = parsed.GetValue(from) is { } begin ? Timestamp.From(begin) : null,
                To = parsed.GetValue(to) is { } end ? Timestamp.From(end) : null,
            };
            Keeping? keeping = parsed.GetValue(keep) ? new Keeping(parsed.GetValue(by)?.Trim() ?? "", parsed.GetValue(reason)?.Trim() ?? "", parsed.GetValue(spec)) : null;
            if (keeping is { By: "" } or { Reason: "" })
            {
                problems.Add("--keep needs --by and --reason: say who answers for it, and why.");
            }

            return Task.Run(() => problems.Count > 0
                ? terminal.Refuse(problems)
                : Judge(parsed.GetRequiredValue(data), parsed.GetValue(cell), order, keeping, new Shown(parsed.GetValue(json), parsed.GetValue(all)), terminal, stopping), CancellationToken.None);
        });
        return command;
    }

    private sealed record Shown(bool Json, bool All);

    private sealed record Keeping(string By, string Reason, FileInfo? Spec);

    private sealed record Terminal(TextWriter Output, TextWriter Error, TimeProvider Time)
    {
        public int Refuse(params IEnumerable<string> problems)
        {
            foreach (string problem in problems)
            {
                Error.WriteLine("thermowatch rejudge: " + problem);
            }

            return ExitCodes.BadInput;
        }
    }

    private static int Judge(string folder, int cell, RejudgeOrder order, Keeping? keeping, Shown shown, Terminal terminal, CancellationToken stopping)
    {
        using OpenRecord? record = OpenRecord.Of(folder, cell, terminal.Time, terminal.Error, out string? fault, out int exit);
        if (record is null)
        {
            terminal.Refuse(fault!);
            return exit;
        }

        RunSource source = record.Source;
        if (source.Catalogue.Latest(cell, 1) is [var newest] && source.DefinitionAt(newest.FirstSequence) is { } wired && order.UnknownIn(wired).ToArray() is { Length: > 0 } unknown)
        {
            return terminal.Refuse($"cell {cell} has no channel {string.Join(", ", unknown)}; it has {string.Join(", ", wired.Channels.Select(c => c.Id))}.");
        }

        var work = new RejudgeWork(source, order);
        long started = terminal.Time.GetTimestamp();
        ImmutableArray<RejudgedRun> runs;
        using (terminal.Time.CreateTimer(_ => Progress(work, terminal.Error), null, ProgressEvery, ProgressEvery))
        {
            try
            {
                runs = work.Run(Environment.ProcessorCount, stopping);
            }
            catch (OperationCanceledException)
            {
                terminal.Refuse($"ended after {work.Done} of {work.Total} runs; nothing was kept.");
                return ExitCodes.Unreachable;
            }
        }

        double seconds = terminal.Time.GetElapsedTime(started).TotalSeconds;
        long? number = null;
        if (keeping is not null)
        {
            var now = Timestamp.From(terminal.Time.GetUtcNow());
            if (keeping.Spec is { } file && order.Spec is { } judgedBy
                && source.Catalogue.SaveSpec(new SpecVersion(judgedBy.Name, judgedBy.Version, File.ReadAllText(file.FullName), now, keeping.By)) is { } refusal)
            {
                return terminal.Refuse(refusal);
            }

            number = source.Catalogue.Rejudgements.Add(new Rejudgement(
                cell, 0, now, keeping.By, keeping.Reason, SoftwareName.Text, Judgement.Algorithm, order.Asked, runs));
        }

        IReadOnlyList<RejudgedRunShape> listed = RejudgedRunShape.Of(source.Catalogue, cell, [.. runs.Where(r => shown.All || r.IsOther || r.Problem is not null)]);
        if (shown.Json)
        {
            terminal.Output.WriteLine(JsonSerializer.Serialize(
                new Result(number, SoftwareName.Text, Judgement.Algorithm, order.Asked, runs.Length, runs.Count(r => r.IsOther), runs.Count(r => r.Problem is not null), Math.Round(seconds, 2), listed), s_json));
        }
        else
        {
            RejudgedTable.Write(terminal.Output, order, runs, listed, seconds, number);
        }

        return runs.Any(r => r is { IsOther: true, After: Verdict.Fail }) ? ExitCodes.Failed
            : runs.Any(r => r.Problem is not null || r is { IsOther: true, After: Verdict.Undetermined }) ? ExitCodes.Undetermined
            : ExitCodes.Done;
    }

    private static void Progress(RejudgeWork work, TextWriter error) =>
        error.WriteLine($"thermowatch rejudge: {work.Done} of {work.Total} runs, {work.Other} with another verdict");

    private static Spec? ReadSpec(FileInfo file, List<string> problems)
    {
        try
        {
            SpecParse parse = SpecFile.Parse(File.ReadAllBytes(file.FullName));
            problems.AddRange(parse.Faults.Select(f => $"{file.Name}: {f.Path} {f.Problem} {f.Remedy}"));
            return parse.Spec;
        }
        catch (Exception wrong) when (wrong is IOException or UnauthorizedAccessException)
        {
            problems.Add($"{file.Name} cannot be read: {wrong.Message}");
            return null;
        }
    }

    private static IReadOnlyDictionary<string, Calibration> ReadCalibrations(FileInfo file, List<string> problems)
    {
        IReadOnlyDictionary<string, Calibration>? read = CalibrationFile.Read(file, out IReadOnlyList<string> faults);
        problems.AddRange(faults);
        return read ?? ImmutableDictionary<string, Calibration>.Empty;
    }

    private static Dictionary<string, double> ReadHigh(string[] texts, List<string> problems)
    {
        Dictionary<string, double> high = [];
        foreach (string text in texts)
        {
            if (text.Split('=') is [{ Length: > 0 } channel, var amount]
                && double.TryParse(amount, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value))
            {
                high[channel] = value;
            }
            else
            {
                problems.Add($"--read-high {text}: write CHANNEL=AMOUNT, such as tc7=3.1.");
            }
        }

        return high;
    }

    private sealed record Result(
        long? Number, string Software, string Algorithm, IReadOnlyList<FieldChange> Asked, int Judged, int Other, int NotJudged, double Seconds, IReadOnlyList<RejudgedRunShape> Runs);
}
