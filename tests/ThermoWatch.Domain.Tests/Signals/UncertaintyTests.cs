using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Signals;

public class UncertaintyTests
{
    // Worked by hand after JCGM 100 for one channel at 250 °C: u = 1.0342 K, 4470 degrees of freedom, U = 2.07 K.
    [Fact]
    public void Budget_agrees_with_an_example_worked_by_hand()
    {
        UncertaintyBudget budget = new(
            [
                new("thermocouple", 1.5, UncertaintyForm.HalfWidth),
                new("channel", 0.5, UncertaintyForm.HalfWidth),
                new("cold junction", 0.5, UncertaintyForm.HalfWidth),
                new("terminals", 0.3, UncertaintyForm.HalfWidth),
                new("repeatability", 0.40 / Math.Sqrt(5), UncertaintyForm.Standard, DegreesOfFreedom: 4),
                new("resolution", 0.1, UncertaintyForm.Resolution),
                new("certificate", 0.60, UncertaintyForm.ExpandedTwice),
            ],
            []);
        double[] contributions = [0.8660, 0.2887, 0.2887, 0.1732, 0.1789, 0.0289, 0.3000];
        for (int i = 0; i < contributions.Length; i++) Assert.Equal(contributions[i], budget.Lines[i].Contribution, tolerance: 0.00005);
        Assert.Equal(1.0342, budget.Combined!.Value, tolerance: 0.0001);
        Assert.Equal(2.07, budget.Expanded!.Value, tolerance: 0.005);
        Assert.Equal(4470, budget.EffectiveDegreesOfFreedom!.Value, tolerance: 10);
    }

    [Fact]
    public void Sensitivity_counts_by_its_size()
    {
        Assert.Equal(3, new UncertaintyLine("x", 1.5, UncertaintyForm.Standard, Sensitivity: -2).Contribution);
        Assert.Equal(double.PositiveInfinity, new UncertaintyBudget([new("x", 1, UncertaintyForm.HalfWidth)], []).EffectiveDegreesOfFreedom);
    }

    // Class 1, KX class 1, 0.5 K cold junction, 0.5 K instrument, 0.1 K resolution at 245 °C:
    // sqrt((1.5² + 1.5² + (0.99744·0.5)² + 0.5²)/3 + 0.1²/12); 0.99744 = 40.5177/40.6218 µV/K.
    [Fact]
    public void Reading_has_a_budget_line_by_line()
    {
        var chain = new MeasurementChain(1, 1, 0.5, 0.5, 0.1, null);
        UncertaintyBudget budget = TemperatureUncertainty.Of(chain).BudgetAt(Thermocouple.K, 245, 25);
        Assert.Equal(["thermocouple", "extension cable", "cold junction", "instrument", "resolution"], budget.Lines.Select(line => line.Name));
        Assert.Equal(["attachment not included"], budget.NotIncluded);
        double junction = 0.5 * 40.5177 / 40.6218;
        double expected = Math.Sqrt(((1.5 * 1.5) + (1.5 * 1.5) + (junction * junction) + 0.25) / 3 + (0.01 / 12));
        Assert.Equal(expected, budget.Combined!.Value, tolerance: 1e-6);
        Assert.Equal(2 * expected, budget.Expanded!.Value, tolerance: 2e-6);
    }

    [Fact]
    public void Spec_without_an_extension_class_has_no_extension_cable()
    {
        UncertaintyBudget budget = TemperatureUncertainty.Of(new MeasurementChain(2, null, 0.5, 0.5, 0.1, 1.0)).BudgetAt(Thermocouple.K, 245);
        Assert.Equal(["thermocouple", "cold junction", "instrument", "resolution", "attachment"], budget.Lines.Select(line => line.Name));
        Assert.Equal(2.5, budget.Lines[0].Stated);
        Assert.Equal(1, budget.Lines[1].Sensitivity);
        Assert.Empty(budget.NotIncluded);
    }

    [Fact]
    public void What_is_not_known_is_said()
    {
        UncertaintyBudget budget = new TemperatureUncertainty { Wire = ToleranceClass.Iec1 }.BudgetAt(Thermocouple.K, 245);
        Assert.Equal(
            ["extension cable not included", "cold junction not included", "instrument not included", "resolution not included", "attachment not included"],
            budget.NotIncluded);
        Assert.Equal(3 / Math.Sqrt(3), budget.Expanded!.Value, tolerance: 1e-12);
    }

    [Theory]
    [InlineData(-41)]
    [InlineData(1001)]
    public void Without_a_tolerance_there_is_no_uncertainty_instead_of_a_small_one(double celsius)
    {
        UncertaintyBudget budget = new TemperatureUncertainty { Wire = ToleranceClass.Iec1, InstrumentKelvin = 0.5 }.BudgetAt(Thermocouple.K, celsius);
        Assert.Null(budget.Combined);
        Assert.Null(budget.Expanded);
        Assert.Null(budget.EffectiveDegreesOfFreedom);
        Assert.Contains("type K", budget.Unknown!, StringComparison.Ordinal);
        Assert.Null(new TemperatureUncertainty().BudgetAt(Thermocouple.K, 245).Expanded);
    }

    [Fact]
    public void Certificate_replaces_the_tolerance_of_the_wire()
    {
        var calibration = new Calibration([new(0, 0)]) { Version = 1, ValidFrom = default, ExpandedUncertainty = 0.9, CoverageFactor = 3, Certificate = "C-17" };
        UncertaintyBudget budget = new TemperatureUncertainty { Wire = ToleranceClass.Iec1, HasExtension = false }.BudgetAt(Thermocouple.K, 2000, null, calibration);
        Assert.Equal("calibration", Assert.Single(budget.Lines).Name);
        Assert.Equal("C-17", budget.Lines[0].Source);
        Assert.Equal(0.3, budget.Combined!.Value, tolerance: 1e-12);

        // A certificate that states no uncertainty replaces nothing.
        UncertaintyBudget without = new TemperatureUncertainty { Wire = ToleranceClass.Iec1 }.BudgetAt(Thermocouple.K, 245, null, calibration with { ExpandedUncertainty = null });
        Assert.Equal("thermocouple", without.Lines[0].Name);
    }

    [Theory]
    [InlineData(ToleranceClass.Iec1, "IEC 60584-1")]
    [InlineData(ToleranceClass.AstmSpecial, "ASTM E230")]
    [InlineData(ToleranceClass.AstmStandard, "ASTM E230")]
    public void Line_names_the_standard_it_comes_from(ToleranceClass toleranceClass, string source) =>
        Assert.Equal(source, new TemperatureUncertainty { Wire = toleranceClass }.BudgetAt(Thermocouple.K, 245).Lines[0].Source);

    [Fact]
    public void Unknown_extension_cable_is_missing_and_not_zero()
    {
        UncertaintyBudget budget = new TemperatureUncertainty { Wire = ToleranceClass.Iec1, ExtensionClass = 1 }.BudgetAt(Thermocouple.Of('S'), 245);
        Assert.Contains("extension cable not included", budget.NotIncluded);
    }

    [Fact]
    public void Cold_junction_beyond_the_function_counts_in_full()
    {
        var known = new TemperatureUncertainty { Wire = ToleranceClass.Iec2, ColdJunctionKelvin = 0.5, HasExtension = false };
        Assert.Equal(1, known.BudgetAt(Thermocouple.Of('B'), 700, -5).Lines[1].Sensitivity);
        Assert.InRange(known.BudgetAt(Thermocouple.Of('S'), 700, 25).Lines[1].Sensitivity, 0.55, 0.65);
    }

    [Fact]
    public void Logarithmic_gauge_errs_by_a_share_of_its_reading()
    {
        var gauge = new PressureUncertainty { InstrumentShare = 0.15, ResolutionMillibar = 0.12, IsGasDependent = true };
        UncertaintyBudget budget = gauge.BudgetAt(20);
        Assert.Equal(Math.Sqrt((3.0 * 3.0 / 3) + (0.12 * 0.12 / 12)), budget.Combined!.Value, tolerance: 1e-12);
        Assert.Equal(["kind of gas not included: air equivalent"], budget.NotIncluded);
        Assert.Equal([("instrument, share of the reading", "as stated"), ("resolution", "as stated")], budget.Lines.Select(line => (line.Name, line.Source)));
    }

    [Fact]
    public void Relative_gauge_has_the_barometer_in_its_budget()
    {
        UncertaintyBudget budget = new PressureUncertainty { InstrumentMillibar = 1, AmbientMillibar = 2 }.BudgetAt(20);
        Assert.Equal([("instrument", "as stated"), ("ambient pressure", "as stated")], budget.Lines.Select(line => (line.Name, line.Source)));
        Assert.Equal(Math.Sqrt(5.0 / 3), budget.Combined!.Value, tolerance: 1e-12);
        Assert.Equal(["resolution not included"], budget.NotIncluded);
    }

    [Fact]
    public void Gauge_of_unknown_quality_has_no_uncertainty_until_it_is_calibrated()
    {
        var gauge = new PressureUncertainty { ResolutionMillibar = 0.1 };
        Assert.Null(gauge.BudgetAt(20).Expanded);
        Assert.Equal("the gauge's own uncertainty is not known", gauge.BudgetAt(20).Unknown);
        var calibration = new Calibration([new(0, 0)]) { Version = 1, ValidFrom = default, ExpandedUncertainty = 0.4, Certificate = "P-3" };
        UncertaintyBudget budget = (gauge with { InstrumentMillibar = 1, ResolutionMillibar = null }).BudgetAt(20, calibration);
        Assert.Equal(0.4, budget.Expanded!.Value, tolerance: 1e-12);
        Assert.Equal(("calibration", "P-3"), (Assert.Single(budget.Lines).Name, budget.Lines[0].Source));
    }

    [Fact]
    public void Every_line_says_its_form_and_where_its_number_is_from()
    {
        UncertaintyBudget budget = TemperatureUncertainty.Of(new MeasurementChain(1, 1, 0.5, 0.5, 0.1, 1.0)).BudgetAt(Thermocouple.K, 245, 25);
        Assert.Equal(
            [
                ("thermocouple", UncertaintyForm.HalfWidth, "IEC 60584-1", true),
                ("extension cable", UncertaintyForm.HalfWidth, "IEC 60584-3", true),
                ("cold junction", UncertaintyForm.HalfWidth, "as stated", true),
                ("instrument", UncertaintyForm.HalfWidth, "as stated", true),
                ("resolution", UncertaintyForm.Resolution, "as stated", false),
                ("attachment", UncertaintyForm.Standard, "estimate", false),
            ],
            budget.Lines.Select(line => (line.Name, line.Form, line.Source, line.IsShared)));
        Assert.Equal(("sensor", "as stated"), (new TemperatureUncertainty { SensorKelvin = 0.3 }.BudgetAt(null, 40).Lines[0].Name, new TemperatureUncertainty { SensorKelvin = 0.3 }.BudgetAt(null, 40).Lines[0].Source));
        Assert.Contains("tolerance class of the thermocouple is not known", new TemperatureUncertainty().BudgetAt(Thermocouple.K, 245).Unknown, StringComparison.Ordinal);
        Assert.Throws<ArgumentNullException>(() => TemperatureUncertainty.Of(null!));
    }
}
