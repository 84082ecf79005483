using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>
/// J-STD-020 classification profiles, both processes and revisions, drawn from reference/process/jstd020_profile.csv and judged by its
/// limits: a component maker's test that our figures must be able to pass and to fail. The program never offers it for a board.
/// </summary>
public class ClassificationProfileTests
{
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> s_table = ReferenceTable.Read("process/jstd020_profile.csv");

    public static TheoryData<string, string, double> Processes() => new()
    {
        // Classification temperatures of small packages, jstd020_tc.csv.
        { "snpb", "D", 235 },
        { "pbfree", "D", 260 },
        { "snpb", "C", 240 },
        { "pbfree", "C", 260 },
    };

    /// <summary>A limit of the table; revision C has the levels of D's rows.</summary>
    private static double? Bound(string symbol, string column, string revision)
    {
        IReadOnlyDictionary<string, string> row = s_table.FirstOrDefault(r => r["symbol"] == symbol && r["revision"] == revision)
            ?? s_table.Single(r => r["symbol"] == symbol && r["revision"] == "D");
        return row[column].Length == 0 ? null : double.Parse(row[column], CultureInfo.InvariantCulture);
    }

    private static Spec SpecOf(string process, string revision, double classification)
    {
        double from = Bound("Tsmin", process + "_max", revision)!.Value, to = Bound("Tsmax", process + "_max", revision)!.Value;
        double liquidus = Bound("TL", process + "_max", revision)!.Value;
        Limit Limit(string figure, string symbol) =>
            new() { Figure = figure, Lower = Bound(symbol, process + "_min", revision), Upper = Bound(symbol, process + "_max", revision) };
        return Bench.Sac305() with
        {
            Alloy = new Alloy("reference", liquidus, liquidus),
            Soak = new SoakBand(from, to),
            Vacuum = null,
            Classification = revision == "D" ? classification : null,
            Limits =
            [
                Limit("soakTime", "ts"), Limit("rampUpRate", "ramp_up"), Limit("timeAboveLiquidus", "tL"), Limit("timeNearPeak", "tp"),
                Limit("rampDownRate", "ramp_down"), Limit("timeToPeak", "t25p"), new Limit { Figure = "peakTemperature", Upper = classification },
            ],
        };
    }

    /// <summary>A profile that keeps every limit, with one part of it stretched.</summary>
    private static (string Samples, double Above) Profile(Spec spec, double soak = 90, double up = 1.5, double? plateau = null, double down = 3, double start = 60, double over = 0)
    {
        double liquidus = spec.Alloy.Liquidus, peak = spec.Limits[^1].Upper!.Value + over;
        double stay = plateau ?? (liquidus < 200 ? 12 : 18);
        double t = 0;
        var points = new List<string>();
        void To(double seconds, double celsius) => points.Add(string.Create(CultureInfo.InvariantCulture, $"{t += seconds}:{celsius}"));
        To(0, 20);
        To(start, spec.Soak!.From);
        To(soak, spec.Soak.To);
        To(Math.Max(1, (liquidus - spec.Soak.To) / 1.5), liquidus);
        To((peak - liquidus) / up, peak);
        To(stay, peak);
        To((peak - 20) / down, 20);
        return (string.Join(' ', points), ((peak - liquidus) / up) + stay + ((peak - liquidus) / down));
    }

    private static string Broken(Spec spec, string samples) =>
        string.Join(' ', Example.Parse(samples, false).Judge(spec, null).Figures.Where(f => f.Verdict == Verdict.Fail).Select(f => f.Figure));

    [Theory]
    [MemberData(nameof(Processes))]
    public void Profile_within_the_table_passes_and_each_limit_can_be_broken(string process, string revision, double classification)
    {
        Spec spec = SpecOf(process, revision, classification);
        (string good, double above) = Profile(spec);
        RunPicture run = Example.Parse(good, false).Judge(spec, null);

        Assert.Equal((Verdict.Pass, ""), (run.Verdict!.Value, string.Join(' ', run.Reasons)));
        Assert.Equal(above, run.Figures.Single(f => f.Figure == "timeAboveLiquidus").Value!.Value, 1e-6);
        Assert.Equal(1.5, run.Figures.Single(f => f.Figure == "rampUpRate").Value!.Value, 1e-6);
        Assert.Equal(3, run.Figures.Single(f => f.Figure == "rampDownRate").Value!.Value, 1e-6);
        Assert.Equal(90, run.Figures.Single(f => f.Figure == "soakTime").Value!.Value, 1e-6);

        Assert.Equal("soakTime", Broken(spec, Profile(spec, soak: 59).Samples));
        Assert.Equal("soakTime", Broken(spec, Profile(spec, soak: Bound("ts", process + "_max", revision)!.Value + 1).Samples));
        Assert.Contains("rampUpRate", Broken(spec, Profile(spec, up: 3.05, plateau: 14).Samples), StringComparison.Ordinal);
        Assert.Contains("rampDownRate", Broken(spec, Profile(spec, down: 6.1, plateau: 14).Samples), StringComparison.Ordinal);
        Assert.Equal("timeNearPeak", Broken(spec, Profile(spec, plateau: Bound("tp", process + "_max", revision)!.Value).Samples));
        Assert.Equal("timeToPeak", Broken(spec, Profile(spec, start: 500).Samples));
        Assert.Contains("peakTemperature", Broken(spec, Profile(spec, over: 0.1).Samples), StringComparison.Ordinal);
        Assert.Contains("timeAboveLiquidus", Broken(spec, Profile(spec, up: 0.4, down: 0.5).Samples), StringComparison.Ordinal);
    }
}
