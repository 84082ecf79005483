using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Export;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Export;

/// <summary>A reading that its neighbours show to be a spike says so in an export, as it does on the pages.</summary>
public class SpikeExportTests
{
    [Fact]
    public async Task Parquet_read_by_another_program_calls_single_far_readings_spikes_and_keeps_their_values()
    {
        using TempFolder folder = Record(100, spikes: [10, 40, 41, 70, 99]);
        string path = folder["run.parquet"];
        await using (FileStream stream = File.Create(path))
        {
            Assert.Equal(100, await ParquetExport.WriteAsync(new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole), new Dictionary<string, string>(), stream));
        }

        // Two neighbours that are both high hide each other, and nothing comes behind the last one.
        Assert.Equal([[11L, "uncertain:spike"], [71L, "uncertain:spike"]], ExportRecord.Query($"SELECT sequence, \"tc1.quality\" FROM '{path}' WHERE \"tc1.quality\" <> 'good' ORDER BY sequence"));
        Assert.Equal(5L, ExportRecord.Query($"SELECT count(*) FROM '{path}' WHERE tc1 > 60")[0][0]);
        Assert.Equal(0L, ExportRecord.Query($"SELECT count(*) FROM '{path}' WHERE \"tc2.quality\" <> 'good' OR \"cj.quality\" <> 'good'")[0][0]);
    }

    [Fact]
    public void Csv_calls_a_spike_by_its_name_and_a_curve_file_keeps_it()
    {
        using TempFolder folder = Record(30, spikes: [10]);
        string[] lines = Csv(folder, ExportRecord.Whole, asCurves: false);
        Assert.Equal(30, lines.Length);
        int quality = Array.IndexOf(Header(folder), "tc1 quality");
        Assert.Equal([10], Enumerable.Range(0, 30).Where(i => lines[i].Split(',')[quality] == "uncertain:spike"));
        string[] curves = Csv(folder, ExportRecord.Whole with { OnlyCurves = true }, asCurves: true);
        Assert.All(curves, line => Assert.DoesNotContain("", line.Split(',')[1..]));
    }

    // What lies before the span is a neighbour too: a span that is cut in two says the same.
    [Fact]
    public void First_reading_of_a_span_is_judged_beside_the_one_before_it()
    {
        using TempFolder folder = Record(30, spikes: [10]);
        ExportSpan from = new(Sample.Noon.AddSeconds(1.0), Sample.Noon.AddSeconds(1000));
        Assert.Equal(
            [true, .. Enumerable.Repeat(false, 19)],
            new ExportRows(JournalView.Of(folder.Path), from).Read().Select(row => row.Readings[0].Quality == SpikeRule.Mark));
    }

    [Fact]
    public void Chamber_pressure_that_jumps_there_and_back_says_so_too()
    {
        using var folder = new TempFolder();
        CellDefinition cell = Sample.Cell with
        {
            Channels =
            [
                .. Sample.Cell.Channels,
                new ChannelDefinition { Id = "gauge", Name = "Chamber", Role = ChannelRole.Pressure, Device = "gauge", Point = "p", Conversion = new ChannelConversion { Unit = MeasuredUnit.Millibar } },
            ],
        };
        EngineInput[] inputs = [.. Enumerable.Range(0, 20).Select(EngineInput (i) => new ScanInput(new RawScan(1, Sample.Noon.AddSeconds(i * 0.2), [i == 8 ? 3 : 1000], new SignalQuality[1])))];
        ExportRecord.Write(folder, inputs, cell);

        var rows = new ExportRows(JournalView.Of(folder.Path), ExportRecord.Whole);
        int column = rows.Columns.ToList().FindIndex(one => one.Id == "gauge");
        Assert.Equal([9L], rows.Read().Where(row => row.Readings[column].Quality == SpikeRule.Mark).Select(row => row.Sequence));
    }

    [Fact]
    public void What_came_off_stays_what_it_is_where_it_jumps()
    {
        using TempFolder folder = Record(30, spikes: [10]);
        ExportSpan off = ExportRecord.Whole with { Detached = [new GapSpan("tc1", Sample.Noon.AddSeconds(0.5), Sample.Noon.AddSeconds(2)) { Reason = QualityReason.Detached }] };
        Assert.Equal(
            [.. Enumerable.Range(0, 30).Select(i => i is > 5 and <= 20 ? QualityReason.Detached : QualityReason.None)],
            new ExportRows(JournalView.Of(folder.Path), off).Read().Select(row => row.Readings[0].Quality.Reason));
    }

    [Fact]
    public void Rows_come_in_order_also_where_the_clock_was_set_back()
    {
        using TempFolder folder = Record(90, spikes: [10, 80], setBackAt: 50);
        (long, bool)[] rows = [.. new ExportRows(JournalView.Of(folder.Path), new ExportSpan(Sample.Noon.AddSeconds(-3600), Sample.Noon.AddSeconds(1000))).Read().Select(row => (row.Sequence, row.Readings[0].Quality == SpikeRule.Mark))];
        Assert.Equal(Enumerable.Range(1, 90).Select(i => (long)i), rows.Select(row => row.Item1));
        Assert.Equal([11L], rows.Where(row => row.Item2).Select(row => row.Item1));
    }

    /// <summary>A warm joint read every 0.1 s, 24 K too high where it is told to be.</summary>
    private static TempFolder Record(int count, int[] spikes, int setBackAt = int.MaxValue)
    {
        var folder = new TempFolder();
        EngineInput[] inputs = [.. Enumerable.Range(0, count).Select(EngineInput (i) => new ScanInput(new RawScan(
            0, Sample.Noon.AddSeconds(i * 0.1 - (i >= setBackAt ? 60 : 0)), [spikes.Contains(i) ? 2000 : 1000, 2.5, 650, 3], new SignalQuality[4])))];
        ExportRecord.Write(folder, inputs);
        return folder;
    }

    private static string[] Header(TempFolder folder) => Lines(folder, ExportRecord.Whole, false)[0].Split(',');

    private static string[] Csv(TempFolder folder, ExportSpan span, bool asCurves) => Lines(folder, span, asCurves)[1..^1];

    private static string[] Lines(TempFolder folder, ExportSpan span, bool asCurves)
    {
        using var stream = new MemoryStream();
        CsvExport.Write(new ExportRows(JournalView.Of(folder.Path), span), asCurves, stream);
        return Encoding.UTF8.GetString(stream.ToArray()).Split("\r\n");
    }
}
