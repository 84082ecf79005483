using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Pressure;

public class PressureChannelTests
{
    [Theory]
    [InlineData(0, 9.75, QualityReason.OutOfRange)] // no failure before it has lasted
    [InlineData(4, 0.01, QualityReason.None)]
    [InlineData(20.3, 1019.0, QualityReason.OverRange)]
    [InlineData(3.7, 0, QualityReason.OutOfRange)] // means nothing definite
    [InlineData(3.9, 0, QualityReason.BelowRange)] // extrapolated below nothing
    [InlineData(12, 500.005, QualityReason.None)]
    public void Loop_current_becomes_a_pressure_with_the_quality_of_its_band(double milliamperes, double millibar, QualityReason reason)
    {
        Reading reading = ConvertOne(
            new ChannelConversion
            {
                Unit = MeasuredUnit.Millibar,
                Scale = 0.001, // the input card gives µA
                Bands = SignalBands.Ne43,
                Law = new AnalogueLaw.Linear(4, 20, 0.01, 1000),
            },
            milliamperes * 1000);
        Assert.Equal(reason, reading.Quality.Reason);
        if (reading.Quality.HasValue) Assert.Equal(millibar, reading.Value, tolerance: 0.3);
    }

    // A full-range gauge's manual: 6.8 V is 1 mbar, and 0.75 Torr by the same gauge set to Torr.
    [Fact]
    public void Logarithmic_gauge_set_to_Torr_gives_the_same_millibar() =>
        Assert.Equal(1.0, ConvertOne(
            new ChannelConversion
            {
                Unit = MeasuredUnit.Millibar,
                PressureUnit = PressureUnit.Torr,
                Law = new AnalogueLaw.Logarithmic(6.875, 0.6),
                Bands = SignalBands.SixTenthsOfAVoltPerDecade,
            },
            6.8).Value, tolerance: 0.001);

    [Fact]
    public void Gauge_does_not_judge_below_its_own_range()
    {
        var gauge = new ChannelConversion { Unit = MeasuredUnit.Millibar, Lowest = 3, Highest = 1100 };
        Assert.Equal(Reading.Bad(Start, QualityReason.BelowRange), ConvertOne(gauge, 2.99));
        Assert.Equal(new Reading(Start, 3, SignalQuality.Good), ConvertOne(gauge, 3));
        Assert.Equal(new Reading(Start, 1100, SignalQuality.Good), ConvertOne(gauge, 1100));
        Assert.Equal(new Reading(Start, 1101, SignalQuality.Uncertain(QualityReason.OverRange)), ConvertOne(gauge, 1101));
    }

    [Fact]
    public void Signal_beyond_a_makers_table_is_out_of_range()
    {
        var gauge = new ChannelConversion { Unit = MeasuredUnit.Millibar, Law = new AnalogueLaw.Table([(1, 1), (2, 10)]) };
        Assert.Equal(Reading.Bad(Start, QualityReason.OutOfRange), ConvertOne(gauge, 2.1));
        Assert.Equal(new Reading(Start, 5.5, SignalQuality.Good), ConvertOne(gauge, 1.5));
    }

    private static Reading ConvertOne(ChannelConversion conversion, double raw)
    {
        Reading[] readings = new Reading[1];
        new CellConverter(Of(Channel("p", conversion))).Convert(Scan(0, raw), readings);
        return readings[0];
    }
}
