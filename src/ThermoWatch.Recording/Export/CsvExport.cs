using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Export;

/// <summary>An export as CSV (RFC 4180, UTF-8).</summary>
public static class CsvExport
{
    /// <summary>Writes the rows: time, a column a channel, and, unless they are to be a curve file, the entry's number in front and each channel's quality beside it.</summary>
    /// <remarks>A curve file leaves out what a thermocouple read that had come off, and keeps spikes: who judges the file finds them anew.</remarks>
    /// <param name="rows">What to write.</param>
    /// <param name="asCurves">A curve file: what <c>judge</c> reads.</param>
    /// <param name="stream">Where to.</param>
    /// <param name="progress">Told entries done and entries there are.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    /// <returns>How many rows were written.</returns>
    /// <exception cref="IOException">It cannot be written.</exception>
    public static long Write(ExportRows rows, bool asCurves, Stream stream, IProgress<(long Done, long Total)>? progress = null, CancellationToken stop = default)
    {
        using var writer = new StreamWriter(stream, new UTF8Encoding(false), 1 << 16, leaveOpen: true) { NewLine = "\r\n" };
        writer.Write(asCurves ? "time" : "sequence,time");
        foreach (ExportColumn column in rows.Columns)
        {
            writer.Write(',');
            writer.Write(Field(HeaderOf(column)));
            if (!asCurves)
            {
                writer.Write(',');
                writer.Write(Field(column.Id + " quality"));
            }
        }

        writer.WriteLine();
        long count = 0;
        foreach (ExportRow row in rows.Read(progress, stop))
        {
            count++;
            writer.Write(asCurves ? row.Time.ToString() : row.Sequence.ToString(CultureInfo.InvariantCulture) + "," + row.Time);
            for (int i = 0; i < row.Readings.Length; i++)
            {
                writer.Write(',');
                // A curve file has no place for a quality, and an empty field is a missing reading: nobody must take these for a joint's.
                if (row.IsInScan[i] && row.Readings[i].Quality.HasValue && !(asCurves && row.Readings[i].Quality.Reason == QualityReason.Detached))
                {
                    writer.Write(row.Readings[i].Value.ToString("R", CultureInfo.InvariantCulture));
                }

                if (!asCurves)
                {
                    writer.Write(',');
                    writer.Write(row.IsInScan[i] ? row.Readings[i].Quality.ToString() : "");
                }
            }

            writer.WriteLine();
        }

        return count;
    }

    /// <summary>As the header of a curve file: <c>tc1 [degC] product body</c>.</summary>
    private static string HeaderOf(ExportColumn column)
    {
        string role = char.ToLowerInvariant(column.Role.ToString()[0]) + column.Role.ToString()[1..];
        string place = column.Role == ChannelRole.Product ? " " + column.Place.ToString().ToLowerInvariant() : "";
        return $"{column.Id} [{column.Unit}] {role}{place}";
    }

    private static string Field(string text) =>
        text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : "\"" + text.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"";
}
