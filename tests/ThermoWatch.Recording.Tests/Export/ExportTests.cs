using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Export;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Archive;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Export;

public class ExportTests
{
    // DuckDB reads the file: what it finds must be what the converter gives for the very scans.
    [Fact]
    public async Task Parquet_read_by_another_program_holds_every_value_to_the_bit()
    {
        using TempFolder folder = Record(out EngineInput[] inputs);
        string path = folder["run.parquet"];
        var rows = new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole);
        await using (FileStream stream = File.Create(path))
        {
            Assert.Equal(inputs.OfType<ScanInput>().Count(), await ParquetExport.WriteAsync(rows, new Dictionary<string, string> { ["thermowatch.run"] = "17" }, stream));
        }

        Assert.Empty(rows.Missing);
        List<object?[]> found = ExportRecord.Query($"SELECT sequence, time_ns, epoch_ms(time), tc1, \"tc1.raw\", \"tc1.quality\", tc2, cj, \"cj.quality\" FROM '{path}' ORDER BY sequence");
        var converter = new CellConverter(Sample.Cell);
        var readings = new Reading[3];
        int at = 0;
        for (int i = 0; i < inputs.Length; i++)
        {
            if (inputs[i] is not ScanInput { Scan: var scan })
            {
                continue;
            }

            converter.Convert(scan, readings);
            object?[] row = found[at++];
            Assert.Equal([(long)i + 1, (scan.Time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) * 100, (scan.Time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) / 10_000], row[..3]);
            bool isIn = scan.DeviceIndex == 0;
            Assert.Equal(isIn && readings[0].Quality.HasValue ? readings[0].Value : null, row[3]);
            Assert.Equal(isIn ? scan.Values[0] : null, row[4]);
            Assert.Equal(isIn ? readings[0].Quality.ToString() : null, row[5]);
            Assert.Equal(isIn && readings[2].Quality.HasValue ? readings[2].Value : null, row[7]);
        }

        Assert.Equal(found.Count, at);
        Assert.Contains(found, row => row[3] is null && (string?)row[5] == "bad:openCircuit");
        Assert.Contains(found, row => row[3] is double);
        Assert.Equal((long)found.Count, ExportRecord.Query($"SELECT count(*) FROM '{path}' WHERE time BETWEEN TIMESTAMPTZ '2026-03-02 12:00:00Z' AND TIMESTAMPTZ '2026-03-02 12:00:20Z'")[0][0]);
        Assert.Equal(0L, ExportRecord.Query($"SELECT count(*) FROM '{path}' WHERE time < TIMESTAMPTZ '2026-03-02 12:00:00Z'")[0][0]);
        Assert.Equal("17", ExportRecord.Query($"SELECT decode(value) FROM parquet_kv_metadata('{path}') WHERE decode(key) = 'thermowatch.run'")[0][0]);
    }

    [Fact]
    public async Task Parquet_says_which_readings_came_from_a_thermocouple_that_had_come_off_and_keeps_their_values()
    {
        using TempFolder folder = Record(out _);
        Timestamp sure = Sample.Noon.AddSeconds(5), end = Sample.Noon.AddSeconds(12);
        string path = folder["run.parquet"];
        await using (FileStream stream = File.Create(path))
        {
            var marked = new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole with { Detached = [new GapSpan("tc1", sure, end) { Reason = QualityReason.Detached }] });
            await ParquetExport.WriteAsync(marked, new Dictionary<string, string>(), stream);
        }

        List<object?[]> wanted = [];
        foreach (ExportRow row in new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole).Read().Where(row => row.IsInScan[0]))
        {
            Reading reading = row.Readings[0];
            bool off = row.Time > sure && row.Time <= end && SpikeRule.MayBeJudged(reading.Quality);
            wanted.Add([row.Sequence, reading.Quality.HasValue ? reading.Value : null, off ? "uncertain:detached" : reading.Quality.ToString()]);
        }

        Assert.Equal(wanted, ExportRecord.Query($"SELECT sequence, tc1, \"tc1.quality\" FROM '{path}' WHERE \"tc1.quality\" IS NOT NULL ORDER BY sequence"));
        Assert.Contains(wanted, row => (string?)row[2] == "uncertain:detached");
        Assert.Contains(wanted, row => (string?)row[2] == "good");
    }

    [Fact]
    public void Csv_read_by_another_program_holds_every_value_to_the_bit()
    {
        using TempFolder folder = Record(out _);
        string path = folder["run.csv"];
        using (FileStream stream = File.Create(path))
        {
            CsvExport.Write(new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole), asCurves: false, stream);
        }

        List<object?[]> found = ExportRecord.Query($"SELECT sequence, \"tc1 [degC] product body\", \"tc1 quality\" FROM read_csv('{path}', header = true, types = {{'tc1 [degC] product body': 'DOUBLE'}}) ORDER BY sequence");
        List<object?[]> wanted = [];
        foreach (ExportRow row in new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole).Read())
        {
            wanted.Add([row.Sequence, row.IsInScan[0] && row.Readings[0].Quality.HasValue ? row.Readings[0].Value : null, row.IsInScan[0] ? row.Readings[0].Quality.ToString() : null]);
        }

        Assert.Equal(wanted, found);
    }

    [Fact]
    public void Curve_file_has_only_what_one_may_hold()
    {
        using TempFolder folder = Record(out _);
        using var stream = new MemoryStream();
        CsvExport.Write(new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole with { OnlyCurves = true, Carrier = "B" }), asCurves: true, stream);
        string[] lines = Encoding.UTF8.GetString(stream.ToArray()).Split("\r\n");
        Assert.Equal("time,cj [degC] coldJunction", lines[0]); // both product channels are carrier A's
        Assert.StartsWith("2026-03-02T12:00:00.0000000Z,", lines[1], StringComparison.Ordinal);
    }

    [Fact]
    public void Span_of_time_holds_what_lies_in_it_and_nothing_else()
    {
        using TempFolder folder = Record(out EngineInput[] inputs);
        Timestamp from = Sample.Noon.AddSeconds(5.05), to = Sample.Noon.AddSeconds(11.95);
        Timestamp[] times = [.. new ExportRows(JournalView.Of(folder.Path), new ExportSpan(from, to)).Read().Select(row => row.Time)];
        Assert.Equal(inputs.OfType<ScanInput>().Select(scan => scan.Time).Where(time => time >= from && time <= to), times);
    }

    [Fact]
    public void What_is_damaged_is_told_and_the_rest_exported()
    {
        using TempFolder folder = Record(out EngineInput[] inputs);
        string archive = Directory.GetFiles(folder.Path, "*.twb").Single();
        byte[] bytes = File.ReadAllBytes(archive);
        bytes[^60] ^= 1; // in the last block
        File.WriteAllBytes(archive, bytes);
        var rows = new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole);
        int count = rows.Read().Count();
        MissingEntries missing = Assert.Single(rows.Missing);
        Assert.Equal(inputs.Skip((int)missing.Sequence - 1).Take((int)(missing.LastSequence - missing.Sequence + 1)).OfType<ScanInput>().Count(), inputs.OfType<ScanInput>().Count() - count);
    }

    [Fact]
    public void Sealing_beside_an_export_takes_nothing_from_it()
    {
        using var folder = new TempFolder();
        using CellJournal journal = ExportRecord.Open(folder);
        EngineInput[] inputs = [.. Enumerable.Range(0, 200).Select(EngineInput (i) => Sample.Scan(i))];
        SealingTests.Fill(journal, inputs, every: 50);
        JournalView view = JournalView.Of(folder.Path);
        List<JournalEntry> entries = [];
        foreach ((CellDefinition? cell, JournalEntry entry) in view.ReadFrom(1))
        {
            Assert.Equivalent(Sample.Cell, cell, strict: true);
            entries.Add(entry);
            if (entries.Count == 10)
            {
                Assert.Equal(3, journal.SealClosed());
            }
        }

        Sample.AssertSame(inputs, entries);
    }

    [Fact]
    public void Looking_changes_nothing_in_the_folder()
    {
        using TempFolder folder = Record(out _);
        string newest = Directory.GetFiles(folder.Path, "*.twj").Single();
        File.AppendAllText(newest, "torn"); // as if caught within a write
        Dictionary<string, string> before = Directory.GetFiles(folder.Path).ToDictionary(path => path, path => Convert.ToHexString(File.ReadAllBytes(path)));
        Assert.NotEmpty(JournalView.Of(folder.Path).ReadFrom(1));
        Assert.Equal(before, Directory.GetFiles(folder.Path).ToDictionary(path => path, path => Convert.ToHexString(File.ReadAllBytes(path))));
    }

    private static TempFolder Record(out EngineInput[] inputs)
    {
        var folder = new TempFolder();
        inputs = [.. Enumerable.Range(0, 200).Select(EngineInput (i) => i switch
        {
            _ when i % 17 == 5 => new TickInput(Sample.Noon.AddSeconds(i * 0.1)),
            _ when i % 17 == 6 => Sample.Scan(i, device: 1, points: 1),
            _ when i % 17 == 7 => new ScanInput(new RawScan(0, Sample.Noon.AddSeconds(i * 0.1), [double.NaN, 1, 650, 3],
                [SignalQuality.Bad(QualityReason.OpenCircuit), default, default, default])),
            _ => new ScanInput(new RawScan(0, Sample.Noon.AddSeconds(i * 0.1), [1000 + i * 7, 2.5 + i / 100.0, 650 + i % 3, 3], new SignalQuality[4])),
        })];
        ExportRecord.Write(folder, inputs);
        return folder;
    }
}
