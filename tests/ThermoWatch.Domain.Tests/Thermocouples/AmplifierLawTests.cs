using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Thermocouples;

public class AmplifierLawTests
{
    // What a converter that assumes 41.276 µV/K shows with its cold junction at 25 °C: its data sheet's law put into the NIST function.
    [Theory]
    [InlineData(100, 100.01)]
    [InlineData(183, 181.50)]
    [InlineData(217, 214.43)]
    [InlineData(245, 241.83)]
    [InlineData(260, 256.64)]
    [InlineData(300, 296.55)]
    [InlineData(1000, 1000.76)]
    [InlineData(-50, -45.01)]
    public void Straight_line_converter_is_turned_back_into_the_true_temperature(double celsius, double shown)
    {
        double millivolts = AmplifierLaw.StraightLine(41.276).ToMillivolts(shown, 25);
        Assert.Equal(celsius, Thermocouple.K.ToCelsius(millivolts, 25).Value, tolerance: 0.0065); // 0.005 of rounding, times 41.276 over the slope
    }

    // The same converter's frame quantised to a quarter: 241.75 is 244.92 °C.
    [Fact]
    public void Straight_line_converter_is_corrected_inside_the_chain()
    {
        var shown = new ChannelConversion
        {
            Unit = MeasuredUnit.DegreeCelsius,
            Word = WordFormat.Quarters14Of32,
            Thermocouple = 'K',
            Amplifier = AmplifierLaw.StraightLine(41.276),
            ColdJunction = new ColdJunctionSource.FromChannel("cj"),
        };
        CellConverter converter = new(Of(
            Channel("cj", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Word = WordFormat.Sixteenths12Of32 }),
            Channel("tc", shown)));
        Reading[] readings = new Reading[2];
        const double Frame = (967L << 18) | (400L << 4); // 967 quarters, 400 sixteenths
        converter.Convert(Scan(0, Frame, Frame), readings);
        Assert.Equal(25, readings[0].Value);
        Assert.Equal(244.92, readings[1].Value, tolerance: 0.005);
    }

    // Maker's output table of the 10 mV/K amplifier for type K: 2.7 mV at 0 °C, 1.015 V at 100 °C, 2.614 V at 260 °C.
    [Theory]
    [InlineData(0, 0.0027)]
    [InlineData(100, 1.015)]
    [InlineData(260, 2.614)]
    public void Ten_millivolts_a_kelvin_agrees_with_the_makers_table(double celsius, double volts)
    {
        double millivolts = AmplifierLaw.TenMillivoltsPerKelvin().ToMillivolts(volts, double.NaN);
        Assert.Equal(celsius, Thermocouple.K.ToCelsius(millivolts).Value, tolerance: 0.1); // 1 mV of the table
    }

    // 5 mV/K amplifier with 2.6 mV of output offset: volts over 5 mV/K shows 244.1 at 245 °C and 299.4 at 300 °C.
    [Theory]
    [InlineData(25, 25.0)]
    [InlineData(100, 100.8)]
    [InlineData(183, 183.1)]
    [InlineData(217, 216.4)]
    [InlineData(245, 244.1)]
    [InlineData(260, 259.1)]
    [InlineData(300, 299.4)]
    public void Five_millivolts_a_kelvin_is_corrected_whatever_the_reference_voltage(double celsius, double overFiveMillivolts)
    {
        foreach (double reference in new[] { 0, 1.25 })
        {
            AmplifierLaw law = AmplifierLaw.FiveMillivoltsPerKelvin(reference, gain: 122.4, outputOffsetVolts: 0.0026);
            double millivolts = law.ToMillivolts((overFiveMillivolts * 0.005) + reference, double.NaN);
            Assert.Equal(celsius, Thermocouple.K.ToCelsius(millivolts).Value, tolerance: 0.06);
        }
    }

    [Fact]
    public void Presets_carry_the_makers_nominal_values()
    {
        Assert.Equal(new AmplifierLaw(0.041276, 0, 0, true), AmplifierLaw.StraightLine());
        Assert.Equal(new AmplifierLaw(1000 / 122.4, 1.25125), AmplifierLaw.FiveMillivoltsPerKelvin(1.25));
        Assert.Equal(new AmplifierLaw(1000 / 247.3, 0, 0.011), AmplifierLaw.TenMillivoltsPerKelvin());
    }

    [Fact]
    public void Amplifier_that_compensates_itself_gets_no_second_compensation()
    {
        var volts = new ChannelConversion
        {
            Unit = MeasuredUnit.One,
            Thermocouple = 'K',
            Amplifier = AmplifierLaw.TenMillivoltsPerKelvin(),
            ColdJunction = new ColdJunctionSource.AlreadyApplied(),
        };
        Reading[] readings = new Reading[1];
        new CellConverter(Of(Channel("tc", volts))).Convert(Scan(0, 2.4634), readings);
        Assert.Equal(245, readings[0].Value, tolerance: 0.01);
    }
}
