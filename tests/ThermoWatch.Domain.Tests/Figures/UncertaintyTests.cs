using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

public class UncertaintyTests
{
    private static readonly MeasurementChain s_plain = new(1, null, 0.5, 0.5, 0.1, null);

    [Fact]
    public void Budget_agrees_with_the_worked_example()
    {
        // Worked budget at 250 °C (GUM, root sum of squares): class 1 0.8660, channel 0.2887, cold junction 0.2887,
        // resolution 0.0289, and as one remainder terminal gradient 0.1732, repeatability 0.1789, certificate 0.3000;
        // combined 1.0342 K, U 2.07 K.
        double remainder = Math.Sqrt((0.1732 * 0.1732) + (0.1789 * 0.1789) + (0.3 * 0.3));
        UncertaintyBudget budget = Budget(s_plain with { AttachmentKelvin = remainder }, 250);
        Assert.Equal(1.0342, budget.Combined!.Value, 1e-4);
        Assert.Equal(2.07, budget.Expanded!.Value, 0.005);
    }

    private static UncertaintyBudget Budget(MeasurementChain chain, double celsius) =>
        ChannelBudget.At(Bench.Cell().Channels[0], celsius, Bench.Epoch, chain)!;

    [Theory]
    [InlineData(1, 250, 1.5)] // IEC 60584-1, type K: class 1 the greater of 1.5 K and 0.4 %
    [InlineData(1, 500, 2.0)]
    [InlineData(2, 250, 2.5)] // class 2 the greater of 2.5 K and 0.75 %
    [InlineData(2, 400, 3.0)]
    public void Tolerance_follows_its_class(int tolerance, double celsius, double halfWidth) =>
        Assert.Equal(halfWidth / Math.Sqrt(3), Budget(new MeasurementChain(tolerance, null, 0, 0, 0, null), celsius).Common!.Value, 1e-12);

    // u(T) = 1.5 K: slopes 1 and 1 K/s give 3.0 s, 2 and 3 K/s 1.25 s, 0.5 and 2 K/s 3.75 s (u(T) (1/up + 1/down)).
    [Theory]
    [InlineData(1, 1, 3.0)]
    [InlineData(2, 3, 1.25)]
    [InlineData(0.5, 2, 3.75)]
    public void Time_above_is_as_sure_as_its_flanks_are_steep(double up, double down, double expected)
    {
        (double, double)[] points = [(0, 217 - (100 * up)), (120, 217 + (20 * up)), (220, 217 + (20 * up)), (220 + 120, 217 + (20 * up) - (120 * down))];
        double[] seconds = [.. Enumerable.Range(0, 681).Select(i => i * 0.5)];
        var view = new CurveView(
            seconds.Select(t => (long)(t * TimeSpan.TicksPerSecond)).ToArray(), seconds.Select(t => Bench.At(t, points)).ToArray(), 0, long.MaxValue);
        (double secondsPerKelvin, int ends) = CrossingSlopes.OfTimeAbove(view, 217);

        Assert.Equal(2, ends);
        Assert.Equal(expected, 1.5 * secondsPerKelvin, 1e-9);
    }

    public static TheoryData<string> GuardRows() =>
        [.. ReferenceTable.Read("protocol/guard_band_example.csv").Where(r => r["guard_w"] == r["U"]).Select(r => r["case"])];

    // reference/protocol/guard_band_example.csv: ILAC-G8:09/2019 section 4.2, ISO 14253-1.
    [Theory]
    [MemberData(nameof(GuardRows))]
    public void Decision_near_a_limit_agrees_with_the_guard_band_example(string id)
    {
        IReadOnlyDictionary<string, string> row = ReferenceTable.Read("protocol/guard_band_example.csv").Single(r => r["case"] == id);
        double? Number(string key) => row[key].Length == 0 ? null : double.Parse(row[key], CultureInfo.InvariantCulture);
        var limit = new Limit { Figure = "peakTemperature", Lower = Number("lower_limit"), Upper = Number("upper_limit") };
        Outcome outcome = Outcome.Known(Number("measured")!.Value);

        Verdict simple = LimitDecision.Decide(outcome, limit, Number("U"), DecisionRule.Simple).Verdict;
        (Verdict Verdict, string? Reason) guarded = LimitDecision.Decide(outcome, limit, Number("U"), DecisionRule.Guarded);

        Assert.Equal(row["simple_decision"], simple.ToString().ToLowerInvariant());
        Assert.Equal(row["iso14253_zone"], guarded.Verdict switch
        {
            Verdict.Pass => "proved_conforming",
            Verdict.Fail => "proved_nonconforming",
            _ => "uncertain",
        });
        Assert.Equal(guarded.Verdict == Verdict.Undetermined ? FigureReasons.WithinUncertainty : null, guarded.Reason);
    }

    [Fact]
    public void Guarded_run_says_that_it_lies_within_the_uncertainty()
    {
        Spec spec = Bench.Sac305(new Limit { Figure = "peakTemperature", Upper = 241 }) with
        {
            Measurement = s_plain,
            Uncertainty = DecisionRule.Guarded,
        };
        RunPicture run = Example.Parse("0:25 100:240 150:240 250:50", false).Judge(spec, null);
        Assert.Equal((Verdict.Undetermined, "peakTemperature/tc1:withinUncertainty"), (run.Verdict, Assert.Single(run.Reasons)));
        Assert.Equal(Budget(s_plain, 240).Expanded!.Value, run.Figures[0].U!.Value, 1e-12);
    }

    [Fact]
    public void Figure_without_a_formula_says_that_its_uncertainty_is_not_known()
    {
        RunPicture run = Example.Parse("0:25 100:240 150:240 250:50", false).Judge(Bench.Sac305() with { Measurement = s_plain }, null);
        FigureResult rate = run.Figures.Single(f => f.Figure == "rampUpRate");
        Assert.Null(rate.U);
        Assert.Contains("noUncertainty", rate.Notes);
    }

    [Fact]
    public void Channels_of_one_instrument_share_what_is_common_in_a_spread()
    {
        Spec spec = Bench.Sac305() with { Measurement = s_plain };
        RunPicture run = Example.Parse("0:25 100:240 150:240 250:50 | 0:25 100:238 150:238 250:50", false).Judge(spec, null);
        FigureResult spread = run.Figures.Single(f => f.Figure == "peakSpread");
        Assert.Equal(2, spread.Value);
        // Resolution alone, twice: 2 sqrt(2) 0.1 / sqrt(12).
        Assert.Equal(2 * Math.Sqrt(2) * 0.1 / Math.Sqrt(12), spread.U!.Value, 1e-12);
    }

    // A channel's own budget counts before the spec's, and its certificate before its tolerance: U = 0.9 K at k = 3
    // is 0.3 K, with 0.1 K resolution sqrt(0.09 + 0.01/12), doubled.
    [Fact]
    public void Channel_that_knows_its_errors_has_a_U_of_its_own()
    {
        var certificate = new Calibration([new(0, 0)]) { Version = 1, ValidFrom = default, ExpandedUncertainty = 0.9, CoverageFactor = 3 };
        ChannelDefinition calibrated = Bench.Cell().Channels[0] with
        {
            TemperatureUncertainty = new() { SensorKelvin = 5, InstrumentKelvin = 0, ResolutionKelvin = 0.1 },
        };
        calibrated = calibrated with { Conversion = calibrated.Conversion with { Calibrations = CalibrationHistory.Always(certificate) } };
        CellDefinition cell = Bench.Cell() with { Channels = [calibrated, .. Bench.Cell().Channels.Skip(1)] };
        var engine = new CellEngine(cell);
        Bench.Feed(engine, [new SpecInput(Bench.Epoch, "A", Bench.Sac305()), .. Bench.Cycle()]);
        FigureResult[] peaks = [.. engine.Picture().Runs[0].Figures.Where(f => f.Figure == "peakTemperature")];
        Assert.Equal(2 * Math.Sqrt(0.09 + (0.01 / 12)), peaks[0].U!.Value, 1e-12);
        Assert.Null(peaks[1].U); // nobody has said anything of the other one
        Assert.Null(engine.Picture().Runs[0].Figures.Single(f => f.Figure == "peakSpread").U);
    }

    [Fact]
    public void Tolerance_that_the_class_does_not_define_gives_no_U()
    {
        ChannelDefinition typeB = Bench.Cell().Channels[0] with { TemperatureUncertainty = new() { Letter = 'B', Wire = ThermoWatch.Domain.Thermocouples.ToleranceClass.Iec2 } };
        var engine = new CellEngine(Bench.Cell() with { Channels = [typeB, .. Bench.Cell().Channels.Skip(1)] });
        Bench.Feed(engine, [new SpecInput(Bench.Epoch, "A", Bench.Sac305() with { Measurement = s_plain }), .. Bench.Cycle()]);
        FigureResult[] peaks = [.. engine.Picture().Runs[0].Figures.Where(f => f.Figure == "peakTemperature")];
        Assert.Null(peaks[0].U); // IEC class 2 of type B begins at 600 °C
        Assert.NotNull(peaks[1].U);
    }
}
