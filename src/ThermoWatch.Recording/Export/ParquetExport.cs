using System.IO.Compression;
using Parquet;
using Parquet.Schema;

namespace ThermoWatch.Recording.Export;

/// <summary>An export as Apache Parquet: for whatever reads tables.</summary>
public static class ParquetExport
{
    private const int RowsPerGroup = 64 * 1024;

    /// <summary>
    /// Writes the rows: <c>sequence</c>, <c>time</c> (UTC, milliseconds), <c>time_ns</c> (nanoseconds since 1970-01-01T00:00:00Z, exact),
    /// and for each channel its value, raw number and quality; null where the scan does not carry it, the value also where it is bad.
    /// </summary>
    /// <param name="rows">What to write.</param>
    /// <param name="metadata">Kept in the file's footer.</param>
    /// <param name="stream">Where to; it can seek.</param>
    /// <param name="progress">Told entries done and entries there are.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    /// <returns>How many rows were written.</returns>
    /// <exception cref="IOException">It cannot be written.</exception>
    public static async Task<long> WriteAsync(
        ExportRows rows, IReadOnlyDictionary<string, string> metadata, Stream stream, IProgress<(long Done, long Total)>? progress = null, CancellationToken stop = default)
    {
        DataField sequence = new DataField<long>("sequence"), nanoseconds = new DataField<long>("time_ns");
        // The library writes the statistics of a time in milliseconds whatever its unit, and readers that trust them would find nothing.
        var time = new DateTimeDataField("time", DateTimeFormat.DateAndTime, isAdjustedToUTC: true);
        (DataField Value, DataField Raw, DataField Quality)[] channels = [.. rows.Columns.Select(column =>
            (Field<double?>(NameOf(rows, column)), Field<double?>(NameOf(rows, column) + ".raw"), (DataField)new DataField<string>(NameOf(rows, column) + ".quality")))];
        var schema = new ParquetSchema([sequence, time, nanoseconds, .. channels.SelectMany(channel => new[] { channel.Value, channel.Raw, channel.Quality })]);
        await using ParquetWriter writer = await ParquetWriter.CreateAsync(schema, stream, new ParquetOptions { CompressionMethod = CompressionMethod.Zstd, CompressionLevel = CompressionLevel.Fastest }, cancellationToken: stop);
        writer.CustomMetadata = metadata;
        var group = new Group(channels.Length);
        long count = 0;
        foreach (ExportRow row in rows.Read(progress, stop))
        {
            group.Add(row);
            count++;
            if (group.Count == RowsPerGroup)
            {
                await FlushAsync();
            }
        }

        if (group.Count > 0)
        {
            await FlushAsync();
        }

        return count;

        async Task FlushAsync()
        {
            using ParquetRowGroupWriter part = writer.CreateRowGroup();
            await part.WriteAsync<long>(sequence, group.Sequences.ToArray(), cancellationToken: stop);
            await part.WriteAsync<DateTime>(time, group.Times.ToArray(), cancellationToken: stop);
            await part.WriteAsync<long>(nanoseconds, group.Nanoseconds.ToArray(), cancellationToken: stop);
            for (int i = 0; i < channels.Length; i++)
            {
                await part.WriteAsync<double>(channels[i].Value, group.Values[i].ToArray(), cancellationToken: stop);
                await part.WriteAsync<double>(channels[i].Raw, group.Raw[i].ToArray(), cancellationToken: stop);
                await part.WriteAsync(channels[i].Quality, group.Qualities[i]!);
            }

            part.CompleteValidate();
            group.Clear();
        }
    }

    private static DataField<T> Field<T>(string name) => new(name);

    /// <summary>The channel's id; with its unit where that was changed within the span.</summary>
    private static string NameOf(ExportRows rows, ExportColumn column) =>
        rows.Columns.Count(other => other.Id == column.Id) == 1 ? column.Id : $"{column.Id} {column.Unit}";

    /// <summary>Rows in columns until there are enough for a row group.</summary>
    private sealed class Group(int channels)
    {
        public List<long> Sequences { get; } = [];

        public List<DateTime> Times { get; } = [];

        public List<long> Nanoseconds { get; } = [];

        public List<double?>[] Values { get; } = [.. Enumerable.Range(0, channels).Select(_ => new List<double?>())];

        public List<double?>[] Raw { get; } = [.. Enumerable.Range(0, channels).Select(_ => new List<double?>())];

        public List<string?>[] Qualities { get; } = [.. Enumerable.Range(0, channels).Select(_ => new List<string?>())];

        public int Count => Sequences.Count;

        public void Add(ExportRow row)
        {
            Sequences.Add(row.Sequence);
            Times.Add(new DateTime(row.Time.UtcTicks, DateTimeKind.Utc));
            Nanoseconds.Add((row.Time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) * 100);
            for (int i = 0; i < Values.Length; i++)
            {
                bool isIn = row.IsInScan[i];
                Values[i].Add(isIn && row.Readings[i].Quality.HasValue ? row.Readings[i].Value : null);
                Raw[i].Add(isIn ? row.Raw[i] : null);
                Qualities[i].Add(isIn ? row.Readings[i].Quality.ToString() : null);
            }
        }

        public void Clear()
        {
            Sequences.Clear();
            Times.Clear();
            Nanoseconds.Clear();
            for (int i = 0; i < Values.Length; i++)
            {
                Values[i].Clear();
                Raw[i].Clear();
                Qualities[i].Clear();
            }
        }
    }
}
