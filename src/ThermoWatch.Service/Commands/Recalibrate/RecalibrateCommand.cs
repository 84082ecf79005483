using System.CommandLine;
using System.Text;
using System.Text.Json;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary><c>thermowatch recalibrate</c>: what another calibration makes of a run of the past, beside what was recorded.</summary>
/// <remarks>Exit code of the recalibrated run: 0 pass, 1 fail, 4 undetermined; 2 bad input, 3 the record cannot be had.</remarks>
public static class RecalibrateCommand
{
    /// <summary>The verb with its options and its action.</summary>
    public static Command Create() => Create(TimeProvider.System);

    internal static Command Create(TimeProvider time)
    {
        var file = new Argument<FileInfo?>("file") { Arity = ArgumentArity.ZeroOrOne, Description = "Curve file (CSV) of one run; without it give --data and --run." };
        var calibration = new Option<FileInfo>("--calibration")
        {
            Required = true,
            Description = """Calibrations by channel (JSON): { "tc1": { "points": [[0, 0.1], [200, 201.2]], "certificate": "C-17", "U": 0.8, "k": 2 } }; points are indicated and reference value.""",
        };
        var spec = new Option<FileInfo?>("--spec") { Description = "Spec file, for a curve file. A run of the record keeps the spec that judged it." };
        var gap = new Option<double?>("--gap") { Description = "For a curve file: longest distance of two readings that belong together, s.", CustomParser = result => Seconds(result) };
        var data = new Option<string?>("--data") { Description = "Data folder of a service that is stopped, or a restored backup." };
        var cell = new Option<int>("--cell") { Description = "Number of the cell.", DefaultValueFactory = _ => 1 };
        var run = new Option<long?>("--run") { Description = "Number of the run." };
        var json = new Option<bool>("--json") { Description = "Both judgements as one JSON object: recorded and recalibrated." };
        var curves = new Option<FileInfo?>("--curves") { Description = "Write both values of each recalibrated channel to this curve file." };
        var command = new Command("recalibrate", """
            Apply another calibration to a run of the past and show both results side by side. The record itself is never changed.

            Example: thermowatch recalibrate --data /var/lib/thermowatch --run 217 --calibration march.json
            Example: thermowatch recalibrate run-0001.csv --spec gate-driver.json --calibration march.json --curves both.csv
            """)
        {
            file, calibration, spec, gap, data, cell, run, json, curves,
        };
        command.SetAction(parsed =>
        {
            TextWriter error = parsed.InvocationConfiguration.Error;
            if (CalibrationFile.Read(parsed.GetRequiredValue(calibration), out IReadOnlyList<string> faults) is not { } calibrations)
            {
                return Refuse(error, [.. faults]);
            }

            Output output = new(parsed.InvocationConfiguration.Output, error, parsed.GetValue(json), parsed.GetValue(curves));
            return (parsed.GetValue(file), parsed.GetValue(data), parsed.GetValue(run)) switch
            {
                ({ } curve, null, null) when parsed.GetValue(spec) is { } specFile => OfFile(curve, specFile, parsed.GetValue(gap), calibrations, output),
                ({ }, null, null) => Refuse(error, "a curve file needs --spec."),
                (null, { } folder, { } number) when parsed.GetValue(spec) is null => OfRecord(folder, parsed.GetValue(cell), number, calibrations, output, time),
                (null, { }, { }) => Refuse(error, "a run of the record keeps the spec that judged it; leave out --spec."),
                _ => Refuse(error, "give a curve file with --spec, or --data with --run."),
            };
        });
        return command;
    }

    private sealed record Output(TextWriter Text, TextWriter Error, bool Json, FileInfo? Curves);

    private static int OfFile(FileInfo file, FileInfo specFile, double? gapSeconds, IReadOnlyDictionary<string, Calibration> calibrations, Output output)
    {
        byte[] curveBytes, specBytes;
        try
        {
            (curveBytes, specBytes) = (File.ReadAllBytes(file.FullName), File.ReadAllBytes(specFile.FullName));
        }
        catch (Exception wrong) when (wrong is IOException or UnauthorizedAccessException)
        {
            return Refuse(output.Error, $"cannot be read: {wrong.Message}");
        }

        SpecParse spec = SpecFile.Parse(specBytes);
        if (spec.Spec is null) return Refuse(output.Error, [.. spec.Faults.Select(fault => $"{specFile.Name}: {fault.Path} {fault.Problem} {fault.Remedy}")]);
        CurveFileParse curve = CurveFile.Parse(curveBytes);
        return curve.File is null
            ? Refuse(output.Error, $"{file.Name}: {curve.Fault}")
            : Compare(new FileHistory(file.Name, curve.File, spec.Spec, gapSeconds is { } gap ? TimeSpan.FromSeconds(gap) : null), calibrations, output);
    }

    private static int OfRecord(string folder, int cell, long number, IReadOnlyDictionary<string, Calibration> calibrations, Output output, TimeProvider time)
    {
        using OpenRecord? record = OpenRecord.Of(folder, cell, time, output.Error, out string? fault, out int exit);
        if (record is null)
        {
            Refuse(output.Error, fault!);
            return exit;
        }

        return record.Find(number, out fault) is { } history ? Compare(history, calibrations, output) : Refuse(output.Error, fault!);
    }

    private static int Compare(IHistory history, IReadOnlyDictionary<string, Calibration> calibrations, Output output)
    {
        string[] unknown = [.. calibrations.Keys.Where(id => !history.Channels.Any(channel => channel.Id == id))];
        if (unknown.Length > 0)
        {
            return Refuse(output.Error, $"{history.Name} has no channel {string.Join(", ", unknown)}; it has {string.Join(", ", history.Channels.Select(channel => channel.Id))}.");
        }

        if (history.Judge(null) is not { } recorded) return Refuse(output.Error, $"{history.Name} cannot be found again in its raw readings; check the record with thermowatch verify.");
        if (history.Judge(calibrations) is not { } recalibrated)
        {
            return Refuse(output.Error, $"with these calibrations {history.Name} does not begin or end as a run any more; check the points: indicated first, then reference.");
        }

        output.Text.Write(output.Json ? Json(history, recorded, recalibrated) : ComparisonTable.Of(history, recorded, recalibrated, calibrations));
        if (output.Curves is { } file)
        {
            try
            {
                using StreamWriter writer = new(file.FullName, append: false, new UTF8Encoding(false));
                ComparisonTable.WriteCurves(writer, recorded, recalibrated, [.. history.Channels.Where(channel => calibrations.ContainsKey(channel.Id))]);
            }
            catch (Exception wrong) when (wrong is IOException or UnauthorizedAccessException)
            {
                return Refuse(output.Error, $"{file.Name} cannot be written: {wrong.Message}");
            }
        }

        return recalibrated.Picture.Verdict switch
        {
            Verdict.Fail => ExitCodes.Failed,
            Verdict.Pass => ExitCodes.Done,
            _ => ExitCodes.Undetermined,
        };
    }

    private static string Json(IHistory history, JudgedRun recorded, JudgedRun recalibrated)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream))
        {
            json.WriteStartObject();
            json.WriteString("run", history.Name);
            json.WriteStartArray("notes");
            foreach (string note in history.Notes) json.WriteStringValue(note);
            json.WriteEndArray();
            json.WritePropertyName("recorded");
            Judgement.Write(json, recorded.Picture, recorded.Origin, SoftwareName.Text, null);
            json.WritePropertyName("recalibrated");
            Judgement.Write(json, recalibrated.Picture, recalibrated.Origin, SoftwareName.Text, null);
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(stream.ToArray()) + "\n";
    }

    private static double? Seconds(System.CommandLine.Parsing.ArgumentResult result)
    {
        if (ConvertCommand.TryParse(result.Tokens[0].Value, out double seconds) && seconds is > 0 and < 1e9) return seconds;
        result.AddError($"--gap {result.Tokens[0].Value}: give seconds above zero, such as 2.5.");
        return null;
    }

    private static int Refuse(TextWriter error, params string[] problems)
    {
        foreach (string problem in problems) error.WriteLine("thermowatch recalibrate: " + problem);
        return ExitCodes.BadInput;
    }
}
