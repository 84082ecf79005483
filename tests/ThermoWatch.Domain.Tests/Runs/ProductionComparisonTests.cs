using CsCheck;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Runs;

public sealed class ProductionComparisonTests
{
    private static readonly Timestamp Monday = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));
    private static readonly ProductionKey FourBoards = new("Inverter stage", "Stage, lead-free", 3, 12, 4);

    // Median 12, absolute deviations 2 1 0 1 2: MAD 1, so the band is 12 ± 3 · 1.4826.
    private static readonly double[] PumpDowns = [10, 11, 12, 13, 14];

    [Theory]
    [InlineData(12 - 4.447, true)]
    [InlineData(12 + 4.447, true)]
    [InlineData(12 + 4.449, false)]
    [InlineData(12 - 4.449, false)]
    public void The_band_is_the_median_and_three_robust_spreads(double pumpDown, bool inside)
    {
        ProductionComparison found = ProductionComparison.Of(Run(100, pumpDown), Released(PumpDowns), []);
        FigureBand band = Assert.Single(found.Figures);
        Assert.Equal(inside, band.Inside);
        Assert.Equal(12, band.Median);
        Assert.Equal(12 - (3 * 1.4826), band.Low, 1e-12);
        Assert.Equal(12 + (3 * 1.4826), band.High, 1e-12);
        Assert.Equal(5, band.Runs);
    }

    // Each released run against the other four, in spreads from their median: 10 and 14 lie 2.5 from 12.5 and 11.5 with MAD 1, 12 lies in
    // the middle, 11 and 13 lie 1.5 off with MAD 1: 1.686, 1.012, 0, 1.012, 1.686. Median 1.012, MAD 0.674: up to 1.012 + 3 · 1.4826 · 0.674.
    [Theory]
    [InlineData(12 + (4.008 * 1.4826), Likeness.Consistent)]
    [InlineData(12 - (4.008 * 1.4826), Likeness.Consistent)]
    [InlineData(12 + (4.012 * 1.4826), Likeness.Differs)]
    [InlineData(12 - (4.012 * 1.4826), Likeness.Differs)]
    public void A_run_differs_where_a_figure_is_further_off_than_released_runs_are_from_each_other(double pumpDown, Likeness expected)
    {
        ProductionComparison found = ProductionComparison.Of(Run(100, pumpDown), Released(PumpDowns), []);
        Assert.Equal(expected, found.Result);
        FigureBand band = Assert.Single(found.Figures);
        Assert.False(band.Inside);
        Assert.Equal(expected == Likeness.Differs, band.Apart);
        Assert.Equal(
            expected == Likeness.Differs ? null : "Outside its band, but no further than single figures of the released runs lie from the rest: pumpDownTime.", found.Reason);
    }

    /// <summary>Thirteen figures of normal runs: what is called different without a cause, by the number of released runs.</summary>
    [Theory]
    [InlineData(5, 0.25)]
    [InlineData(12, 0.10)]
    [InlineData(31, 0.08)]
    public void Good_runs_are_seldom_called_different(int released, double most)
    {
        const int Tries = 300;
        var random = new Random(31);
        (int differs, int outside) = (0, 0);
        for (int i = 0; i < Tries; i++)
        {
            ProductionRun[] past = [.. Enumerable.Range(1, released).Select(n => Normal(n, random))];
            ProductionComparison found = ProductionComparison.Of(Normal(1000, random), past, []);
            differs += found.Result == Likeness.Differs ? 1 : 0;
            outside += found.Figures.Any(f => !f.Inside) ? 1 : 0;
        }

        Assert.True(differs <= most * Tries, $"{differs} of {Tries} good runs differ");
        Assert.True(outside > 2 * differs, $"{outside} of {Tries} have a figure outside its band, {differs} differ");
    }

    [Theory]
    [InlineData(5, 40)]
    [InlineData(12, 12)]
    [InlineData(31, 8)]
    public void A_figure_far_off_differs_among_thirteen(int released, double spreads)
    {
        var random = new Random(7);
        int differs = 0;
        for (int i = 0; i < 100; i++)
        {
            ProductionRun[] past = [.. Enumerable.Range(1, released).Select(n => Normal(n, random))];
            ProductionRun run = Normal(1000, random);
            run = run with { Figures = [.. run.Figures.Select((f, at) => at == 3 ? f with { Value = f.Value + spreads } : f)] };
            differs += ProductionComparison.Of(run, past, []).Result == Likeness.Differs ? 1 : 0;
        }

        Assert.True(differs >= 90, $"{differs} of 100 runs with a figure {spreads} standard deviations off differ");
    }

    [Fact]
    public void What_all_released_runs_share_exactly_tells_of_the_slightest_change()
    {
        Assert.Equal(Likeness.Consistent, ProductionComparison.Of(Run(100, 12), Released([12, 12, 12, 12, 12]), []).Result);
        Assert.Equal(Likeness.Differs, ProductionComparison.Of(Run(100, 13), Released([12, 12, 12, 12, 12]), []).Result);
    }

    [Fact]
    public void One_released_run_that_is_odd_does_not_make_others_like_it()
    {
        double[] pumpDowns = [10, 11, 12, 13, 14, 11.5, 12.5, 10.5, 13.5, 60];
        Assert.Equal(Likeness.Differs, ProductionComparison.Of(Run(100, 40), Released(pumpDowns), []).Result);
    }

    [Fact]
    public void A_band_is_never_narrower_than_the_instrument_is_sure()
    {
        ProductionRun run = Run(100, 12.9, uncertainty: 1.0);
        Assert.Equal(Likeness.Consistent, ProductionComparison.Of(run, Released([12, 12, 12, 12, 12]), []).Result);
        Assert.Equal(Likeness.Differs, ProductionComparison.Of(Run(100, 13.1, uncertainty: 1.0), Released([12, 12, 12, 12, 12]), []).Result);
    }

    [Fact]
    public void Fewer_than_five_released_runs_compare_nothing()
    {
        ProductionComparison found = ProductionComparison.Of(Run(100, 12), Released([10, 11, 12, 13]), []);
        Assert.Equal(Likeness.NotComparable, found.Result);
        Assert.Equal("There are 4 released runs of this product, spec, recipe and load; 5 are needed.", found.Reason);
    }

    [Fact]
    public void Runs_with_another_load_are_not_comparable_and_said_to_exist()
    {
        ProductionRun two = Run(100, 12) with { Key = FourBoards with { Load = 2 } };
        ProductionComparison found = ProductionComparison.Of(two, Released(PumpDowns), []);
        Assert.Equal(Likeness.NotComparable, found.Result);
        Assert.Contains("5 more had another load and cannot be compared.", found.Reason);
    }

    [Fact]
    public void A_figure_that_released_runs_have_and_this_one_has_not_differs()
    {
        ProductionRun run = Run(100, 12) with { Figures = [] };
        ProductionComparison found = ProductionComparison.Of(run, Released(PumpDowns), []);
        Assert.Equal(Likeness.Differs, found.Result);
        Assert.Null(Assert.Single(found.Figures).Value);
    }

    [Fact]
    public void Oil_ends_the_comparison_of_pressures_and_of_nothing_else()
    {
        ProductionRun[] released = [.. Released(PumpDowns).Select(r => r with { Figures = [.. r.Figures, Figure("vapourPlateau", 239.8, "degC")] })];
        ProductionRun run = Run(100, 99) with { Figures = [Figure("pumpDownTime", 99, "s"), Figure("vapourPlateau", 239.8, "degC")] };
        ServiceEntry oil = new(Monday.AddSeconds(50 * 600), ServiceKind.Oil, "Ines", "changed");
        ProductionComparison found = ProductionComparison.Of(run, released, [oil]);
        Assert.Equal(Likeness.Consistent, found.Result);
        Assert.Equal("vapourPlateau", Assert.Single(found.Figures).Figure);
        Assert.Contains("service entry", found.Reason);
        Assert.Equal(Likeness.Differs, ProductionComparison.Of(run, released, []).Result);
    }

    [Fact]
    public void The_figure_that_is_furthest_off_comes_first()
    {
        ProductionRun[] released = [.. Released(PumpDowns).Select(r => r with { Figures = [.. r.Figures, Figure("ventTime", 2 * r.Figures[0].Value!.Value, "s")] })];
        ProductionRun run = Run(100, 18) with { Figures = [Figure("pumpDownTime", 18, "s"), Figure("ventTime", 200, "s")] };
        Assert.Equal(["ventTime", "pumpDownTime"], ProductionComparison.Of(run, released, []).Figures.Select(f => f.Figure));
    }

    [Fact]
    public void The_run_itself_and_later_ones_are_not_among_its_references()
    {
        ProductionRun run = Run(3, 30);
        ProductionComparison found = ProductionComparison.Of(run, Released(PumpDowns), []);
        Assert.Equal(Likeness.NotComparable, found.Result);
        Assert.Equal(2, found.Runs);
    }

    [Fact]
    public void A_run_like_the_median_is_never_found_different() =>
        Gen.Double[0.1, 1000].Array[5, 40].Sample(values =>
        {
            double[] sorted = [.. values.Order()];
            double median = sorted.Length % 2 == 1 ? sorted[sorted.Length / 2] : (sorted[(sorted.Length / 2) - 1] + sorted[sorted.Length / 2]) / 2;
            return ProductionComparison.Of(Run(1000, median), Released(values), []).Result == Likeness.Consistent;
        });

    private static ProductionRun[] Released(double[] pumpDowns) => [.. pumpDowns.Select((p, i) => Run(i + 1, p))];

    private static ProductionRun Run(long number, double pumpDown, double? uncertainty = null) =>
        new(number, Monday.AddSeconds(number * 600), FourBoards, [Figure("pumpDownTime", pumpDown, "s") with { U = uncertainty }]);

    private static readonly string[] s_compared =
    [
        "vapourPlateau", "vapourResidual", "vapourDip", "vapourRecovery", "timeInVapour", "transportSoak", "transportSoakTime",
        "cycleTime", "pumpDownTime", "lowestPressure", "vacuumHold", "steepestEvacuation", "ventTime",
    ];

    /// <summary>A run of thirteen figures, each of mean 50 and standard deviation 1 (Box and Muller).</summary>
    private static ProductionRun Normal(long number, Random random) => new(number, Monday.AddSeconds(number * 600), FourBoards, [.. s_compared.Select(name =>
        Figure(name, 50 + (Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble())), "1"))]);

    private static FigureResult Figure(string name, double value, string unit) => new() { Figure = name, Value = value, Unit = unit, Final = true };
}
