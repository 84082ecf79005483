using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Pressure;

public class GaugePressureTests
{
    [Fact]
    public void Vacuum_against_the_atmosphere_becomes_absolute() =>
        Assert.Equal(Converted.Good(50), GaugePressure.ToAbsolute(-950, Converted.Good(1000)));

    [Theory]
    [InlineData(499.9, false)]
    [InlineData(500, true)]
    [InlineData(1100, true)]
    [InlineData(1100.1, false)]
    [InlineData(double.NaN, false)]
    public void Ambient_pressure_that_cannot_be_is_not_believed(double ambient, bool isBelieved) => Assert.Equal(
        isBelieved ? SignalQuality.Good : SignalQuality.Bad(QualityReason.AmbientPressure),
        GaugePressure.ToAbsolute(-100, Converted.Good(ambient)).Quality);

    [Fact]
    public void Doubt_of_the_barometer_is_doubt_of_the_pressure()
    {
        Converted doubtful = new(1000, SignalQuality.Uncertain(QualityReason.OverRange));
        Assert.Equal(new Converted(50, SignalQuality.Uncertain(QualityReason.AmbientPressure)), GaugePressure.ToAbsolute(-950, doubtful));
        Assert.Equal(Converted.Bad(QualityReason.AmbientPressure), GaugePressure.ToAbsolute(-950, Converted.Bad(QualityReason.OpenCircuit)));
    }

    [Fact]
    public void Relative_gauge_uses_the_barometer_of_its_cell_while_that_is_young_enough()
    {
        var converter = new CellConverter(Of(
            Channel("ambient", new ChannelConversion { Unit = MeasuredUnit.Millibar, PressureUnit = PressureUnit.Kilopascal }, "barometer"),
            Channel("p", new ChannelConversion
            {
                Unit = MeasuredUnit.Millibar,
                PressureUnit = PressureUnit.InchOfMercury,
                AmbientChannel = "ambient",
            })));
        Reading[] readings = new Reading[2];
        converter.Convert(Scan(1, 0, [-28]), readings);
        Assert.Equal(SignalQuality.Bad(QualityReason.AmbientPressure), readings[1].Quality);
        converter.Convert(Scan(0, 1, [101.325]), readings);
        converter.Convert(Scan(1, 2, [-28]), readings);
        Assert.Equal(1013.25 - (28 * 33.86388640341), readings[1].Value, 1e-9); // 1 inHg = 3386.388640341 Pa
        converter.Convert(Scan(1, 601, [-28]), readings);
        Assert.Equal(SignalQuality.Good, readings[1].Quality);
        converter.Convert(Scan(1, 601.1, [-28]), readings);
        Assert.Equal(SignalQuality.Bad(QualityReason.AmbientPressure), readings[1].Quality);
    }

    [Fact]
    public void Better_than_a_perfect_vacuum_is_below_the_gauge()
    {
        var converter = new CellConverter(Of(
            Channel("ambient", new ChannelConversion { Unit = MeasuredUnit.Millibar }),
            Channel("p", new ChannelConversion { Unit = MeasuredUnit.Millibar, AmbientChannel = "ambient" })));
        Reading[] readings = new Reading[2];
        converter.Convert(Scan(0, 1000, -1001), readings);
        Assert.Equal(Reading.Bad(Start, QualityReason.BelowRange), readings[1]);
    }
}
