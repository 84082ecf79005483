using System.Globalization;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Signals;

public class GaugeStudyTests
{
    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    // reference/protocol/gauge_rr_data.csv: worked study of AIAG's MSA manual, 10 parts, 3 appraisers, 3 trials.
    private static IEnumerable<GaugeTrial> Published => ReferenceTable.Read("protocol/gauge_rr_data.csv").Select(r => new GaugeTrial(r["part"], r["operator"], Number(r["value"])));

    private static double Result(string method, string quantity) =>
        Number(ReferenceTable.Read("protocol/gauge_rr_results.csv").Single(r => r["method"] == method && r["quantity"] == quantity)["value"]);

    [Fact]
    public void Ranges_agree_with_the_published_study()
    {
        GaugeSpread spread = new GaugeStudy(Published).ByRanges()!;
        Assert.Equal(Result("avg_range", "EV"), spread.Repeatability, 1e-5);
        Assert.Equal(Result("avg_range", "AV"), spread.Reproducibility, 1e-5);
        Assert.Equal(Result("avg_range", "GRR"), spread.Gauge, 1e-5);
        Assert.Equal(Result("avg_range", "PV"), spread.PartVariation, 1e-5);
        Assert.Equal(Result("avg_range", "TV"), spread.Total, 1e-5);
        Assert.Equal(Result("avg_range", "pct_GRR"), spread.GaugePercent, 1e-3);
        Assert.Equal(Result("avg_range", "ndc"), spread.DistinctCategories!.Value);
        Assert.Equal((GaugeVerdict.Conditional, "conditionally acceptable"), (spread.Verdict, spread.VerdictWords));
    }

    [Fact]
    public void Analysis_of_variance_agrees_with_the_published_study()
    {
        (GaugeSpread spread, GaugeAnova anova) = new GaugeStudy(Published).ByAnova();
        Assert.Equal(Result("anova", "SS_parts"), anova.Parts, 1e-5);
        Assert.Equal(Result("anova", "SS_operators"), anova.Appraisers, 1e-5);
        Assert.Equal(Result("anova", "SS_interaction"), anova.Interaction, 1e-5);
        Assert.Equal(Result("anova", "SS_error"), anova.Error, 1e-5);
        Assert.Equal(Result("anova", "F_interaction"), anova.InteractionF, 1e-5);
        Assert.True(anova.Pooled);
        Assert.Equal(Result("anova_pooled", "sd_repeatability"), spread.Repeatability, 1e-5);
        Assert.Equal(Result("anova_pooled", "sd_operator"), spread.Reproducibility, 1e-5);
        Assert.Equal(Result("anova_pooled", "sd_GRR"), spread.Gauge, 1e-5);
        Assert.Equal(Result("anova_pooled", "sd_part"), spread.PartVariation, 1e-5);
        Assert.Equal(Result("anova_pooled", "pct_study_variation"), spread.GaugePercent, 1e-3);
        Assert.Equal(Result("anova_pooled", "ndc"), spread.DistinctCategories!.Value);
    }

    [Fact]
    public void Interaction_that_is_kept_agrees_with_the_published_study()
    {
        (GaugeSpread spread, GaugeAnova anova) = new GaugeStudy(Published).ByAnova(poolAbove: 1);
        Assert.False(anova.Pooled);
        Assert.Equal(Result("anova_with_interaction", "sd_repeatability"), spread.Repeatability, 1e-5);
        Assert.Equal(Result("anova_with_interaction", "sd_operator"), spread.Reproducibility, 1e-5);
        Assert.Equal(Result("anova_with_interaction", "sd_part"), spread.PartVariation, 1e-5);
        Assert.Equal(Result("anova_with_interaction", "pct_study_variation"), spread.GaugePercent, 1e-3);
    }

    [Fact]
    public void Appraisers_who_differ_from_part_to_part_are_not_pooled()
    {
        // By hand: cell means 0, 4 / 4, 0 within ±0.1; the interaction's sum of squares is 2 · 4 · 2² = 32, the error's 4 · 0.02.
        (GaugeSpread spread, GaugeAnova anova) = new GaugeStudy(Cells((0, 4), (4, 0), 0.1)).ByAnova();
        Assert.False(anova.Pooled);
        Assert.Equal((0.0, 32.0, 0.08), (Math.Round(anova.Parts, 9), Math.Round(anova.Interaction, 9), Math.Round(anova.Error, 9)));
        Assert.Equal(Math.Sqrt(0.02), spread.Repeatability, 1e-9);
        Assert.Equal(Math.Sqrt((32 - 0.02) / 2), spread.Reproducibility, 1e-9);
        Assert.Equal((0.0, 0, GaugeVerdict.NotAcceptable), (spread.PartVariation, spread.DistinctCategories, spread.Verdict));
    }

    // Printed tables of the F distribution, upper 5 % points.
    [Theory]
    [InlineData(161.448, 1, 1)]
    [InlineData(4.9646, 1, 10)]
    [InlineData(19.000, 2, 2)]
    [InlineData(3.2927, 7, 9)]
    [InlineData(2.1646, 10, 30)]
    [InlineData(1.9926, 10, 60)]
    public void Ratio_of_variances_agrees_with_printed_five_percent_points(double f, int above, int below) =>
        Assert.Equal(0.05, VarianceRatio.UpperTail(f, above, below), 2e-5);

    [Theory]
    [InlineData(0.099, 0, 1, GaugeVerdict.Acceptable)]
    [InlineData(0.101, 0, 1, GaugeVerdict.Conditional)]
    [InlineData(0.30, 0, 1, GaugeVerdict.Conditional)]
    [InlineData(0.32, 0, 1, GaugeVerdict.NotAcceptable)]
    [InlineData(0, 0, 1, GaugeVerdict.Acceptable)]
    public void Verdict_turns_at_ten_and_thirty_percent(double repeatability, double reproducibility, double parts, GaugeVerdict verdict) =>
        Assert.Equal(verdict, new GaugeSpread(repeatability, reproducibility, parts).Verdict);

    [Fact]
    public void Distinct_categories_are_the_ratio_and_not_its_root()
    {
        // 1.41 · 16 / 4 = 5.64; with a root over the ratio it would be 2.82.
        Assert.Equal(5, new GaugeSpread(4, 0, 16).DistinctCategories);
        Assert.Null(new GaugeSpread(0, 0, 16).DistinctCategories);
    }

    [Fact]
    public void Study_larger_than_the_form_has_no_result_by_ranges()
    {
        IEnumerable<GaugeTrial> fourth = Published.Concat(Published.Where(t => t.Appraiser == "A").Select(t => t with { Appraiser = "D" }));
        Assert.Null(new GaugeStudy(fourth).ByRanges());
        Assert.NotNull(new GaugeStudy(Published).ByRanges());
    }

    [Fact]
    public void Study_that_is_not_whole_is_refused_by_name()
    {
        string Refusal(IEnumerable<GaugeTrial> trials) => Assert.Throws<ArgumentException>(() => new GaugeStudy(trials)).Message;
        Assert.Contains("Part 10 was measured 2 times by C, others 3 times", Refusal(Published.SkipLast(1)), StringComparison.Ordinal);
        Assert.Contains("Value 91 (part 1, appraiser A) is no number", Refusal(Published.Append(new GaugeTrial("1", "A", double.NaN))), StringComparison.Ordinal);
        Assert.Contains("has 10 and 1", Refusal(Published.Where(t => t.Appraiser == "A")), StringComparison.Ordinal);
        Assert.Contains("has 0 and 0", Refusal([]), StringComparison.Ordinal);
        Assert.Contains("at least 2 trials", Refusal(Published.DistinctBy(t => (t.Part, t.Appraiser))), StringComparison.Ordinal);
    }

    private static IEnumerable<GaugeTrial> Cells((double A, double B) first, (double A, double B) second, double within) =>
        from sign in new[] { -1, 1 }
        from cell in new[] { ("1", "A", first.A), ("1", "B", first.B), ("2", "A", second.A), ("2", "B", second.B) }
        select new GaugeTrial(cell.Item1, cell.Item2, cell.Item3 + (sign * within));
}
