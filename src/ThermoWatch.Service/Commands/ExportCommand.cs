using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Export;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch export</c>: a run or a span of time as CSV or Parquet.</summary>
internal static class ExportCommand
{
    private const string Help = """
        Write a run, or a span of time, as CSV or Parquet. The service may be running.

        Example: thermowatch export --data /var/lib/thermowatch --run 17 --to-file run17.parquet
        A curve file, as judge reads it: thermowatch export --data /var/lib/thermowatch --run 17 --curves --to-file run17.csv
        A span: thermowatch export --data /var/lib/thermowatch --from 2026-03-02T06:00:00Z --until 2026-03-02T14:00:00Z --to-file shift.csv
        """;

    /// <summary>The verb. Exit 0: done, 1: done, but some entries could not be read, 2: wrong input, 3: no such folder.</summary>
    public static Command Create()
    {
        Option<string> data = new("--data") { Description = "Data folder of the service.", Required = true };
        Option<int> cell = new("--cell") { Description = "Number of the cell.", DefaultValueFactory = _ => 1 };
        Option<long?> run = new("--run") { Description = "Number of the run." };
        Option<string?> from = new("--from") { Description = "First moment, RFC 3339, such as 2026-03-02T06:00:00Z." };
        Option<string?> until = new("--until") { Description = "Last moment." };
        Option<string> file = new("--to-file") { Description = "New file; its ending, .csv or .parquet, says what it becomes.", Required = true };
        Option<bool> curves = new("--curves") { Description = "Only temperatures and pressures, without qualities: a curve file." };
        Command command = new("export", Help) { data, cell, run, from, until, file, curves };
        command.SetAction((parse, stop) => RunAsync(
            new Request(parse.GetRequiredValue(data), parse.GetValue(cell), parse.GetValue(run), parse.GetValue(from), parse.GetValue(until), parse.GetRequiredValue(file), parse.GetValue(curves)), stop));
        return command;
    }

    private static async Task<int> RunAsync(Request request, CancellationToken stop)
    {
        string journal = Path.Combine(request.Data, "cells", request.Cell.ToString(CultureInfo.InvariantCulture), "journal");
        if (!Directory.Exists(journal))
        {
            return Refuse(ExitCodes.Unreachable, $"There is no record of cell {request.Cell} in {request.Data}. Give the right folder with --data, or another --cell.");
        }

        string part = request.File + ".part";
        try
        {
            (ExportSpan? span, string? problem) = SpanOf(request);
            problem ??= Path.GetExtension(request.File) is ".csv" or ".parquet" ? null : $"{request.File} ends with neither .csv nor .parquet.";
            problem ??= File.Exists(request.File) ? $"{request.File} is there already. Give another name; nothing is written over." : null;
            if (span is null || problem is not null)
            {
                return Refuse(ExitCodes.BadInput, problem!);
            }

            JournalView view = JournalView.Of(journal);
            List<GapSpan> detached = Detached(request, view, span, stop);
            ExportRows rows = new(view, span with { OnlyCurves = request.Curves, Detached = detached });
            long count = await WriteAsync(request, rows, part, stop);
            if (count == 0)
            {
                File.Delete(part);
                return Refuse(ExitCodes.BadInput, "There are no readings in that span. Check --from and --until, or ask for another run.");
            }

            File.Move(part, request.File);
            Console.Error.WriteLine($"{count} rows, {rows.Columns.Count} channels, {new FileInfo(request.File).Length} bytes.");
            Tell(request, rows, detached);
            rows.Missing.ForEach(missing => Console.Error.WriteLine($"Entries {missing.Sequence} to {missing.LastSequence} are missing: {missing.Reason}"));
            return rows.Missing.Count == 0 ? ExitCodes.Done : ExitCodes.Failed;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or SqliteException)
        {
            File.Delete(part);
            return Refuse(ExitCodes.Unreachable, fault.Message);
        }
        catch (OperationCanceledException)
        {
            File.Delete(part);
            return Refuse(ExitCodes.Unreachable, "Stopped before the end; no file was written.");
        }
    }

    private static async Task<long> WriteAsync(Request request, ExportRows rows, string part, CancellationToken stop)
    {
        var progress = new Tenths();
        await using FileStream stream = File.Create(part);
        if (Path.GetExtension(request.File) == ".csv")
        {
            return CsvExport.Write(rows, request.Curves, stream, progress, stop);
        }

        Dictionary<string, string> metadata = new()
        {
            ["thermowatch.software"] = typeof(ExportCommand).Assembly.GetName().Version!.ToString(3),
            ["thermowatch.cell"] = request.Cell.ToString(CultureInfo.InvariantCulture),
            ["thermowatch.columns"] = JsonSerializer.Serialize(rows.Columns.Select(column => new { id = column.Id, name = column.Name, unit = column.Unit, role = column.Role.ToString() })),
        };
        if (request.Run is { } run)
        {
            metadata["thermowatch.run"] = run.ToString(CultureInfo.InvariantCulture);
        }

        return await ParquetExport.WriteAsync(rows, metadata, stream, progress, stop);
    }

    /// <summary>Where thermocouples had come off: found anew for those runs only that say so.</summary>
    private static List<GapSpan> Detached(Request request, JournalView view, ExportSpan span, CancellationToken stop)
    {
        string catalogue = Catalogue(request);
        if (!File.Exists(catalogue))
        {
            Console.Error.WriteLine("There is no catalogue of runs in that folder, so readings of thermocouples that had come off are not marked.");
            return [];
        }

        List<GapSpan> found = [];
        foreach (RunRow run in RunCatalogue.PeekBetween(catalogue, request.Cell, span.From, span.To, DetachedSpans.MayHold))
        {
            if (view.ReadFrom(run.FirstSequence).Select(entry => entry.Cell).FirstOrDefault() is { } cell)
            {
                found.AddRange(DetachedSpans.Of(run, cell, from => view.ReadFrom(from).Select(entry => entry.Entry), stop));
            }
        }

        return found;
    }

    private static void Tell(Request request, ExportRows rows, List<GapSpan> detached)
    {
        string[] channels = [.. detached.Select(gap => gap.ChannelId).Where(id => rows.Columns.Any(column => column.Id == id)).Distinct()];
        if (channels.Length > 0)
        {
            Console.Error.WriteLine($"The thermocouple had come off its joint: {string.Join(", ", channels)}. "
                + (request.Curves ? "What it read from then on is left out, as a curve file has no place for a quality; export without --curves to have it." : "What it read from then on says uncertain:detached."));
        }
    }

    private static string Catalogue(Request request) => Path.Combine(request.Data, "thermowatch.sqlite");

    private static (ExportSpan? Span, string? Problem) SpanOf(Request request)
    {
        if (request.Run is { } number)
        {
            string catalogue = Catalogue(request);
            return request.From is not null || request.Until is not null ? (null, "Give either --run or a span with --from and --until, not both.")
                : File.Exists(catalogue) && RunCatalogue.Peek(catalogue, request.Cell, number) is { } run ? (ExportSpan.Of(run), null)
                : (null, $"Cell {request.Cell} has no run {number}.");
        }

        if (Moment(request.From) is not { } from || Moment(request.Until) is not { } until)
        {
            return (null, "Give --run, or --from and --until as RFC 3339 with their offset, such as 2026-03-02T06:00:00Z.");
        }

        return from < until ? (new ExportSpan(from, until), null) : (null, "--until must lie behind --from.");
    }

    private static Timestamp? Moment(string? text) =>
        text is not null && (text.EndsWith('Z') || text.LastIndexOfAny(['+', '-']) > 10)
        && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTimeOffset moment) ? Timestamp.From(moment) : null;

    private static int Refuse(int code, string why)
    {
        Console.Error.WriteLine("thermowatch: " + why);
        return code;
    }

    private sealed record Request(string Data, int Cell, long? Run, string? From, string? Until, string File, bool Curves);

    /// <summary>A line on standard error for each tenth of a long export.</summary>
    private sealed class Tenths : IProgress<(long Done, long Total)>
    {
        private const long TooFewToTell = 100_000;
        private long _said;

        public void Report((long Done, long Total) value)
        {
            long tenth = value.Done * 10 / Math.Max(1, value.Total);
            if (value.Total >= TooFewToTell && tenth > _said)
            {
                _said = tenth;
                Console.Error.WriteLine($"{tenth * 10} %");
            }
        }
    }
}
