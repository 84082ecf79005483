using System.Globalization;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Commands;

/// <summary>Converts a CSV file row by row: the same rows come back with result, U_K and quality added.</summary>
internal static class ConvertFile
{
    private const int Block = 4096;
    private static readonly TimeSpan ProgressEvery = TimeSpan.FromSeconds(1);

    /// <returns>Null when done; else one line that says what is wrong and where. Rows before it have been written.</returns>
    public static string? Run(FileInfo file, ConvertRequest request, TextWriter output, TextWriter progress, TimeProvider time)
    {
        try
        {
            using FileStream stream = file.OpenRead();
            using StreamReader reader = new(stream);
            CsvRecords records = new(reader);
            List<string> fields = [];
            if (!records.Read(fields, out string header, out string? fault))
            {
                return fault is null ? $"{file.Name} is empty; its first line names the columns." : $"{file.Name} line 1: {fault}";
            }

            fault = ConvertColumns.Read(fields, request.ColdJunctionCelsius, out ConvertColumns? columns);
            if (fault is not null) return $"{file.Name} line 1: {fault}";
            output.WriteLine($"{header},{columns!.Added}");
            return Rows(file, stream, records, columns, request, output, progress, time);
        }
        catch (Exception exception) when (exception is IOException or UnauthorizedAccessException)
        {
            return $"{file.Name} cannot be read: {exception.Message}";
        }
    }

    private static string? Rows(
        FileInfo file, FileStream stream, CsvRecords records, ConvertColumns columns, ConvertRequest request, TextWriter output, TextWriter progress, TimeProvider time)
    {
        List<string> lines = new(Block);
        double[] values = new double[Block];
        double[] junctions = new double[Block];
        List<string> fields = [];
        long rows = 0;
        long reported = time.GetTimestamp();
        string? fault = null;
        bool isEnd = false;
        while (!isEnd && fault is null)
        {
            lines.Clear();
            while (lines.Count < Block && fault is null)
            {
                isEnd = !records.Read(fields, out string row, out fault);
                if (isEnd && fault is null) break;
                fault ??= columns.ReadRow(fields, out values[lines.Count], out junctions[lines.Count]);
                if (fault is not null) fault = $"{file.Name} line {records.Line}: {fault}";
                else lines.Add(row);
            }

            rows += lines.Count;

            Write(lines, values.AsSpan(0, lines.Count), junctions.AsSpan(0, lines.Count), columns.IsToCelsius, request, output);
            if (time.GetElapsedTime(reported) < ProgressEvery) continue;
            reported = time.GetTimestamp();
            progress.WriteLine(string.Create(CultureInfo.InvariantCulture, $"convert: {rows} rows, {100 * stream.Position / Math.Max(1, stream.Length)} %"));
        }

        return fault;
    }

    private static void Write(List<string> lines, ReadOnlySpan<double> values, ReadOnlySpan<double> junctions, bool isToCelsius, ConvertRequest request, TextWriter output)
    {
        double[] celsius = new double[lines.Count];
        if (isToCelsius) request.Type.ToCelsius(values, junctions, celsius);
        for (int i = 0; i < lines.Count; i++)
        {
            Converted result = double.IsNaN(values[i]) || double.IsNaN(junctions[i])
                ? Converted.Bad(QualityReason.NoReading)
                : !isToCelsius ? request.ToMillivolts(values[i], junctions[i])
                : double.IsNaN(celsius[i]) ? request.Type.ToCelsius(values[i], junctions[i]) // only for its reason
                : request.Corrected(Converted.Good(celsius[i]));
            double? expanded = result.Quality.HasValue ? request.BudgetAt(isToCelsius ? result.Value : values[i], junctions[i]).Expanded : null;
            string value = result.Quality.HasValue ? result.Value.ToString("R", CultureInfo.InvariantCulture) : "";
            output.WriteLine($"{lines[i]},{value},{expanded?.ToString("R", CultureInfo.InvariantCulture)},{result.Quality}");
        }
    }
}
