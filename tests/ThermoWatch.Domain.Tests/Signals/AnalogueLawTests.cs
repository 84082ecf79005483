using System.Globalization;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Signals;

public class AnalogueLawTests
{
    // reference/process/vacuum_examples.csv: gauge manuals and a transmitter course, as named there.
    [Theory]
    [InlineData("gauge_log_0V6_per_decade_1")]
    [InlineData("gauge_log_0V6_per_decade_2")]
    [InlineData("gauge_log_0V6_per_decade_3")]
    [InlineData("gauge_log_same_in_torr")]
    [InlineData("gauge_log_same_in_pascal")]
    [InlineData("gauge_linear_capacitive")]
    [InlineData("gauge_log_1V_per_decade_low")]
    [InlineData("gauge_log_1V_per_decade_high")]
    [InlineData("gauge_pseudo_log")]
    [InlineData("loop_4_20mA_scaling")]
    public void Law_agrees_with_the_published_example(string name)
    {
        ReferenceRow row = ReferenceRow.Find("process/vacuum_examples.csv", name);
        AnalogueLaw law = name switch
        {
            "gauge_log_same_in_torr" => new AnalogueLaw.Logarithmic(6.875, 0.6),
            "gauge_log_same_in_pascal" => new AnalogueLaw.Logarithmic(5.6, 0.6),
            "gauge_linear_capacitive" => new AnalogueLaw.Linear(0, 10, 0, row.Input("FS_torr")),
            "gauge_pseudo_log" => new AnalogueLaw.PseudoLogarithmic(),
            "loop_4_20mA_scaling" => new AnalogueLaw.Linear(4, 20, row.Input("LRV"), row.Input("URV")),
            _ when name.Contains("1V_per_decade", StringComparison.Ordinal) => new AnalogueLaw.Logarithmic(4, 1),
            _ => new AnalogueLaw.Logarithmic(6.8, 0.6),
        };
        double signal = row.Input(name.StartsWith("loop", StringComparison.Ordinal) ? "I_mA" : "U_V");
        Assert.Equal(row.Number("expected"), law.Apply(signal), row.Number("tolerance"));
    }

    // reference/protocol/ne43.csv: every listed current.
    [Fact]
    public void Loop_current_gets_the_quality_of_its_ne43_band()
    {
        var line = new AnalogueLaw.Linear(4, 20, 0, 100);
        foreach (ReferenceRow row in ReferenceRow.All("protocol/ne43.csv"))
        {
            double current = row.Number("current_mA");
            SignalQuality quality = SignalBands.Ne43.Of(current);
            Assert.Equal(row.Text("quality"), quality.Level.ToString());
            Assert.Equal(
                row.Text("band") switch
                {
                    "failure_low" or "failure_high" => QualityReason.DeviceFault,
                    "under_range" => QualityReason.UnderRange,
                    "over_range" => QualityReason.OverRange,
                    "normal" => QualityReason.None,
                    _ => QualityReason.OutOfRange,
                },
                quality.Reason);
            if (row.Text("percent_of_span").Length > 0)
            {
                Assert.Equal(row.Number("percent_of_span"), line.Apply(current), tolerance: 0.00006);
            }
        }
    }

    // A full-range gauge's manual: below 0.5 V and above 9.5 V sensor error, 1.82 to 8.6 V valid.
    [Theory]
    [InlineData(0.3, Quality.Bad)]
    [InlineData(0.499, Quality.Bad)]
    [InlineData(0.5, Quality.Uncertain)]
    [InlineData(1.81, Quality.Uncertain)]
    [InlineData(1.82, Quality.Good)]
    [InlineData(8.6, Quality.Good)]
    [InlineData(9.0, Quality.Uncertain)]
    [InlineData(9.5, Quality.Uncertain)]
    [InlineData(9.51, Quality.Bad)]
    public void Wide_range_gauge_says_by_its_level_how_far_it_is_to_be_believed(double volts, Quality level) =>
        Assert.Equal(level, SignalBands.SixTenthsOfAVoltPerDecade.Of(volts).Level);

    [Fact]
    public void Table_joins_its_points_and_ends_with_them()
    {
        var table = new AnalogueLaw.Table([(0, 10), (1, 20), (3, 100)]);
        Assert.Equal(10, table.Apply(0));
        Assert.Equal(15, table.Apply(0.5));
        Assert.Equal(20, table.Apply(1));
        Assert.Equal(60, table.Apply(2));
        Assert.Equal(100, table.Apply(3));
        Assert.Equal(double.NaN, table.Apply(-0.001));
        Assert.Equal(double.NaN, table.Apply(3.001));
        Assert.Equal(table, new AnalogueLaw.Table([(0, 10), (1, 20), (3, 100)]));
        Assert.NotEqual(table, new AnalogueLaw.Table([(0, 10), (1, 21), (3, 100)]));
        Assert.NotEqual(table, new AnalogueLaw.Table([(0, 10), (2, 20), (3, 100)]));
    }

    [Fact]
    public void Table_that_cannot_be_read_both_ways_is_refused()
    {
        Assert.Throws<ArgumentException>(() => new AnalogueLaw.Table([(0, 1)]));
        Assert.Throws<ArgumentException>(() => new AnalogueLaw.Table([(0, 1), (0, 2)]));
        Assert.Throws<ArgumentException>(() => new AnalogueLaw.Table([(0, 1), (1, 2), (0.5, 3)]));
        Assert.Throws<ArgumentException>(() => new AnalogueLaw.Table([(0, 1), (double.NaN, 2)]));
    }
}

/// <summary>A row of a reference file, by its column names.</summary>
internal sealed class ReferenceRow(Dictionary<string, string> cells)
{
    public static IReadOnlyList<ReferenceRow> All(string file)
    {
        string[][] lines = [.. File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference", file)).Select(Split)];
        ReferenceRow[] rows = [.. lines.Skip(1).Select(cells => new ReferenceRow(lines[0].Zip(cells).ToDictionary(pair => pair.First, pair => pair.Second)))];
        Assert.NotEmpty(rows);
        return rows;
    }

    public static ReferenceRow Find(string file, string name) => All(file).Single(row => row.Text("name") == name);

    public string Text(string column) => cells[column];

    public double Number(string column) => double.Parse(cells[column], CultureInfo.InvariantCulture);

    public double Input(string name) => double.Parse(
        cells["inputs"].Split(';').Single(input => input.StartsWith(name + "=", StringComparison.Ordinal))[(name.Length + 1)..],
        CultureInfo.InvariantCulture);

    /// <summary>Commas inside quotes belong to the text (RFC 4180); no cell of these files spans lines.</summary>
    private static string[] Split(string line)
    {
        List<string> cells = [""];
        bool isQuoted = false;
        foreach (char c in line)
        {
            if (c == '"') isQuoted = !isQuoted;
            else if (c == ',' && !isQuoted) cells.Add("");
            else cells[^1] += c;
        }

        return [.. cells];
    }
}
