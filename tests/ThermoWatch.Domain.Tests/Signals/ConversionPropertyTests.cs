using CsCheck;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class ConversionPropertyTests
{
    private static readonly ColdJunctionSource FromCj = new ColdJunctionSource.FromChannel("cj");

    private static readonly Gen<double> AnyRaw = Gen.Frequency(
        (8, Gen.Double[-100, 1200]),
        (4, Gen.Int[-40000, 70000].Select(i => (double)i)),
        (2, Gen.Double),
        (1, Gen.Int[0, 2].Select(i => i switch { 0 => double.NaN, 1 => double.PositiveInfinity, _ => double.NegativeInfinity })));

    private static readonly Gen<SignalQuality> AnyQuality = Gen.Frequency(
        (6, Gen.Const(SignalQuality.Good)),
        (1, Gen.Enum<QualityReason>().Select(SignalQuality.Uncertain)),
        (1, Gen.Enum<QualityReason>().Select(SignalQuality.Bad)));

    [Fact]
    public void Reading_has_a_number_exactly_when_its_quality_says_so()
    {
        var converter = new CellConverter(Everything());
        Gen.Select(AnyRaw, AnyQuality).Array[converter.ChannelCount].Sample(
            points =>
            {
                Reading[] readings = new Reading[converter.ChannelCount];
                converter.Convert(Scan(1, points), readings);
                Assert.All(readings, reading =>
                {
                    Assert.Equal(reading.Quality.HasValue, double.IsFinite(reading.Value));
                    Assert.Equal(!reading.Quality.HasValue, double.IsNaN(reading.Value));
                });
            },
            threads: 1);
    }

    [Fact]
    public void What_the_driver_calls_bad_never_becomes_better() =>
        Gen.Select(AnyRaw, Gen.Enum<QualityReason>()).Sample((raw, reason) =>
        {
            var converter = new CellConverter(Everything());
            Reading[] readings = new Reading[converter.ChannelCount];
            converter.Convert(Scan(1, [.. Enumerable.Repeat((raw, SignalQuality.Bad(reason)), converter.ChannelCount)]), readings);
            Assert.All(readings, reading => Assert.Equal(SignalQuality.Bad(reason), reading.Quality));
        });

    [Fact]
    public void Same_scans_give_the_same_readings_to_the_bit() =>
        Gen.Select(AnyRaw, AnyQuality).Array[11].Array[1, 20].Sample(scans =>
        {
            var first = new CellConverter(Everything());
            var second = new CellConverter(Everything());
            Reading[] expected = new Reading[first.ChannelCount];
            Reading[] actual = new Reading[first.ChannelCount];
            for (int i = 0; i < scans.Length; i++)
            {
                first.Convert(Scan(i, scans[i]), expected);
                second.Convert(Scan(i, scans[i]), actual);
                Assert.Equal(expected, actual);
            }
        });

    private static Domain.Engine.CellDefinition Everything() => Of(
        ColdJunction(),
        TypeK("tc", FromCj),
        TypeK("fixed", new ColdJunctionSource.Fixed(25)),
        Channel("line", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Thermocouple = 'K', ColdJunction = FromCj, Amplifier = AmplifierLaw.StraightLine() }),
        Channel("frame", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Word = WordFormat.Quarters12Of16 }),
        Channel("tenths", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Scale = 0.1, Sentinels = [new(32767, QualityReason.OpenCircuit, 16)], Lowest = -50, Highest = 300 }),
        Channel("ambient", new ChannelConversion { Unit = MeasuredUnit.Millibar }),
        Channel("gauge", new ChannelConversion { Unit = MeasuredUnit.Millibar, PressureUnit = PressureUnit.Torr, AmbientChannel = "ambient" }),
        Channel("log", new ChannelConversion { Unit = MeasuredUnit.Millibar, Law = new AnalogueLaw.Logarithmic(6.8, 0.6), Bands = SignalBands.SixTenthsOfAVoltPerDecade }),
        Channel("unbanded", new ChannelConversion { Unit = MeasuredUnit.Millibar, Law = new AnalogueLaw.Logarithmic(6.8, 0.6) }),
        Channel("loop", new ChannelConversion
        {
            Unit = MeasuredUnit.DegreeCelsius,
            Law = new AnalogueLaw.Linear(4, 20, 0, 300),
            Bands = SignalBands.Ne43,
            Calibrations = CalibrationHistory.Always(new Calibration([new(0, 1), new(100, 99)]) { Version = 1, ValidFrom = default }),
        }));
}
