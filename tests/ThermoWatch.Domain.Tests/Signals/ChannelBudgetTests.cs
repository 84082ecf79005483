using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Thermocouples;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class ChannelBudgetTests
{
    private static readonly MeasurementChain s_chain = new(2, null, 0.5, 0.5, 0.1, 1.0);

    [Fact]
    public void What_a_channel_says_of_itself_counts_before_the_spec()
    {
        ChannelDefinition channel = TypeK("tc1", new ColdJunctionSource.Fixed(25));
        Assert.Null(ChannelBudget.At(channel, 245, Start));
        Assert.Equal(2.5, ChannelBudget.At(channel, 245, Start, s_chain)!.Lines[0].Stated); // IEC 60584-1 class 2
        channel = channel with { TemperatureUncertainty = new() { Wire = ToleranceClass.Iec1 } };
        Assert.Equal(1.5, ChannelBudget.At(channel, 245, Start, s_chain)!.Lines[0].Stated); // class 1
    }

    // IEC 60584-1 class 1, type T: 0.5 K at 100 °C.
    [Fact]
    public void Type_is_the_channels_own()
    {
        ChannelDefinition typeT = Channel("t", new ChannelConversion { Unit = MeasuredUnit.Millivolt, Thermocouple = 'T', ColdJunction = new ColdJunctionSource.Fixed(25) });
        Assert.Equal(0.5, ChannelBudget.At(typeT, 100, Start, s_chain with { Class = 1 })!.Lines[0].Stated);

        // An instrument that gives °C: the letter stands in the budget, else the spec means the usual type K.
        ChannelDefinition celsius = Channel("c", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius });
        Assert.Equal(1.5, ChannelBudget.At(celsius, 100, Start, s_chain with { Class = 1 })!.Lines[0].Stated);
        celsius = celsius with { TemperatureUncertainty = new() { Letter = 'T', Wire = ToleranceClass.Iec1 } };
        Assert.Equal(0.5, ChannelBudget.At(celsius, 100, Start)!.Lines[0].Stated);
        celsius = celsius with { TemperatureUncertainty = new() { Wire = ToleranceClass.Iec1 } };
        Assert.Equal("the type of the thermocouple is not known", ChannelBudget.At(celsius, 100, Start)!.Unknown);
        Assert.Null(ChannelBudget.At(celsius, 100, Start)!.Expanded);
    }

    [Fact]
    public void Sensor_that_is_no_thermocouple_has_no_cable_and_no_cold_junction()
    {
        ChannelDefinition vapour = Channel("v", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius }) with
        {
            TemperatureUncertainty = new() { SensorKelvin = 0.6, InstrumentKelvin = 0.2, ResolutionKelvin = 0.1 },
        };
        UncertaintyBudget budget = ChannelBudget.At(vapour, 230, Start)!;
        Assert.Equal(["sensor", "instrument", "resolution"], budget.Lines.Select(line => line.Name));
        Assert.Equal(["attachment not included"], budget.NotIncluded);
        Assert.Equal(Math.Sqrt(((0.36 + 0.04) / 3) + (0.01 / 12)), budget.Combined!.Value, 1e-12);
    }

    [Fact]
    public void Calibration_of_the_moment_replaces_the_sensors_tolerance()
    {
        Calibration later = new([new(0, 0.3)]) { Version = 1, ValidFrom = Start.AddSeconds(10), ExpandedUncertainty = 0.4, Certificate = "C-9" };
        ChannelDefinition channel = Channel("c", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Calibrations = new([later]) }) with
        {
            TemperatureUncertainty = new() { SensorKelvin = 0.6 },
        };
        Assert.Equal("sensor", ChannelBudget.At(channel, 230, Start.AddSeconds(9))!.Lines[0].Name);
        Assert.Equal(("calibration", "C-9"), (ChannelBudget.At(channel, 230, Start.AddSeconds(10))!.Lines[0].Name, ChannelBudget.At(channel, 230, Start.AddSeconds(10))!.Lines[0].Source));
    }

    [Fact]
    public void Pressure_has_its_own_budget_and_a_bare_number_has_none()
    {
        ChannelDefinition gauge = Channel("p", new ChannelConversion { Unit = MeasuredUnit.Millibar });
        Assert.Null(ChannelBudget.At(gauge, 20, Start, s_chain));
        gauge = gauge with { PressureUncertainty = new PressureUncertainty { InstrumentShare = 0.15 } };
        Assert.Equal(3, ChannelBudget.At(gauge, 20, Start)!.Lines[0].Contribution * Math.Sqrt(3), 1e-12);
        Assert.Null(ChannelBudget.At(Channel("n", new ChannelConversion { Unit = MeasuredUnit.One }), 1, Start, s_chain));
    }

    // Of a class 1 chain the tolerance, the cable, the cold junction and the instrument are common to its channels; the rest is not.
    [Fact]
    public void Common_and_own_parts_make_the_whole()
    {
        UncertaintyBudget budget = TemperatureUncertainty.Of(new MeasurementChain(1, 1, 0.5, 0.5, 0.1, 0.8)).BudgetAt(Thermocouple.K, 245);
        Assert.Equal(Math.Sqrt(((2 * 1.5 * 1.5) + (2 * 0.25)) / 3), budget.Common!.Value, 1e-12);
        Assert.Equal(Math.Sqrt((0.01 / 12) + 0.64), budget.Own!.Value, 1e-12);
        Assert.Equal(budget.Combined!.Value, Math.Sqrt((budget.Common.Value * budget.Common.Value) + (budget.Own.Value * budget.Own.Value)), 1e-12);
        Assert.Null(new UncertaintyBudget([], [], "no").Own);
    }
}
