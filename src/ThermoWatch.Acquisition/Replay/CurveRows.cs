using System.Globalization;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Replay;

/// <summary>Reads the rows of a curve file for replay. A row that cannot be read is a fault with its line, never a guess.</summary>
internal static class CurveRows
{
    /// <summary>All rows, or what is wrong with the file.</summary>
    public static (IReadOnlyList<RecordedRow> Rows, string? Wrong) Parse(IEnumerable<string> lines, IReadOnlyList<string> wanted)
    {
        List<RecordedRow> rows = [];
        int[]? columns = null;
        int number = 0, width = 0;
        foreach (string line in lines)
        {
            number++;
            if (line.Length == 0) continue;
            string[] fields = line.Split(',');
            if (columns is null)
            {
                string[] names = [.. fields.Select(f => f.Split('[')[0].Trim().Trim('"'))];
                if (names[0] != "time_s") return Wrong(number, "the first column is not time_s");
                columns = [.. wanted.Select(column => Array.IndexOf(names, column))];
                int missing = Array.IndexOf(columns, -1);
                if (missing >= 0) return Wrong(number, $"there is no column '{wanted[missing]}'");
                width = fields.Length;
                continue;
            }

            if (fields.Length != width) return Wrong(number, $"it has {fields.Length} fields instead of {width}");
            if (!Number(fields[0], out double seconds)) return Wrong(number, $"'{fields[0]}' is not a time");
            if (rows.Count > 0 && seconds <= rows[^1].Seconds) return Wrong(number, "its time is not later than the one before");
            double[] values = new double[columns.Length];
            for (int i = 0; i < values.Length; i++)
            {
                string field = fields[columns[i]];
                if (field.Length == 0) values[i] = double.NaN;
                else if (!Number(field, out values[i])) return Wrong(number, $"'{field}' is not a number");
            }

            rows.Add(new(seconds, values, [.. values.Select(v => double.IsNaN(v) ? SignalQuality.Bad(QualityReason.NoReading) : SignalQuality.Good)]));
        }

        return rows.Count == 0 ? Wrong(number, "there are no rows") : (rows, null);
    }

    private static (IReadOnlyList<RecordedRow>, string?) Wrong(int line, string what) => ([], $"line {line}: {what}");

    private static bool Number(string field, out double value) =>
        double.TryParse(field, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
}
