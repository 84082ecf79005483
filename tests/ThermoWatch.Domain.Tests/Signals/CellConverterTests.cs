using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Thermocouples;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class CellConverterTests
{
    private static readonly ColdJunctionSource FromCj = new ColdJunctionSource.FromChannel("cj");

    // reference/thermocouple/chain_cases.csv, solved in 50-digit decimal arithmetic.
    [Fact]
    public void Chain_cases_come_out_of_the_converter_whether_the_cold_junction_stands_before_or_after()
    {
        var before = new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj)));
        var after = new CellConverter(Of(TypeK("tc1", FromCj), ColdJunction()));
        foreach ((double millivolts, double coldJunction, double celsius) in ReferenceTable.ChainCases())
        {
            Assert.Equal(celsius, ConvertOne(before, Scan(0, coldJunction, millivolts))[1].Value, tolerance: 1e-6);
            Assert.Equal(celsius, ConvertOne(after, Scan(0, millivolts, coldJunction))[0].Value, tolerance: 1e-6);
        }
    }

    [Fact]
    public void Counts_are_scaled_before_anything_else()
    {
        // 8.949798 mV at 25 °C is 245 °C (worked from the NIST function); a 16-bit amplifier with ±78.125 mV has 1 mV in 419.4304 counts.
        var k = new ChannelConversion { Unit = MeasuredUnit.Millivolt, Scale = 1 / 419.4304, Offset = 0.5, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.Fixed(25) };
        Reading reading = ConvertOne(new CellConverter(Of(Channel("tc1", k))), Scan(0, (8.949798 - 0.5) * 419.4304))[0];
        Assert.Equal(245.0, reading.Value, tolerance: 1e-4);
        Assert.Equal(SignalQuality.Good, reading.Quality);
    }

    [Fact]
    public void Cold_junction_that_the_instrument_has_applied_is_not_added_again()
    {
        var converter = new CellConverter(Of(TypeK("tc1", new ColdJunctionSource.AlreadyApplied())));
        Assert.Equal(245.0, ConvertOne(converter, Scan(0, 9.950040))[0].Value, tolerance: 1e-4);
    }

    [Fact]
    public void Only_the_channels_of_the_scanned_device_are_written()
    {
        var converter = new CellConverter(Of(ColdJunction("box"), TypeK("tc1", FromCj)));
        var untouched = new Reading(Start, 12.5, SignalQuality.Good);
        Reading[] readings = [untouched, untouched];
        converter.Convert(Scan(1, 0, [8.0]), readings);
        Assert.Equal(untouched, readings[0]);
        Assert.Equal(Reading.Bad(Start, QualityReason.ColdJunction), readings[1]);
    }

    [Fact]
    public void Cold_junction_of_another_device_serves_until_it_is_too_old()
    {
        var converter = new CellConverter(Of(ColdJunction("box"), TypeK("tc1", FromCj)));
        Reading[] readings = new Reading[2];
        converter.Convert(Scan(0, 0, [25.0]), readings);
        converter.Convert(Scan(1, 5.0, [8.949798]), readings);
        Assert.Equal(245.0, readings[1].Value, tolerance: 1e-4);
        converter.Convert(Scan(1, 5.0000001, [8.949798]), readings);
        Assert.Equal(SignalQuality.Bad(QualityReason.ColdJunction), readings[1].Quality);
    }

    [Theory]
    [InlineData(QualityReason.NoCommunication, true)]
    [InlineData(QualityReason.Garbled, true)]
    [InlineData(QualityReason.Refused, true)]
    [InlineData(QualityReason.OpenCircuit, false)]
    [InlineData(QualityReason.DeviceFault, false)]
    [InlineData(QualityReason.OutOfRange, false)]
    public void Cold_junction_holds_through_silence_but_not_through_a_stated_fault(QualityReason reason, bool holds)
    {
        var converter = new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj)));
        ConvertOne(converter, Scan(0, 25.0, 8.949798));
        Reading reading = ConvertOne(converter, Scan(1, (double.NaN, SignalQuality.Bad(reason)), (8.949798, SignalQuality.Good)))[1];
        Assert.Equal(holds ? SignalQuality.Good : SignalQuality.Bad(QualityReason.ColdJunction), reading.Quality);
    }

    [Theory]
    [InlineData(-40.001, false)]
    [InlineData(-40, true)]
    [InlineData(125, true)]
    [InlineData(125.001, false)]
    public void Cold_junction_outside_its_own_range_is_not_believed(double celsius, bool isBelieved)
    {
        Reading reading = ConvertOne(new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj))), Scan(0, celsius, 5))[1];
        Assert.Equal(isBelieved ? SignalQuality.Good : SignalQuality.Bad(QualityReason.ColdJunction), reading.Quality);
        Assert.Equal(isBelieved, !double.IsNaN(reading.Value));
    }

    [Fact]
    public void Doubtful_cold_junction_makes_its_thermocouples_doubtful()
    {
        var converter = new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj)));
        Reading reading = ConvertOne(converter, Scan(0, (25, SignalQuality.Uncertain(QualityReason.OverRange)), (8.949798, SignalQuality.Good)))[1];
        Assert.Equal(SignalQuality.Uncertain(QualityReason.ColdJunction), reading.Quality);
        Assert.Equal(245.0, reading.Value, tolerance: 1e-4);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    public void What_is_no_number_is_bad_even_when_the_driver_says_good(double raw)
    {
        var converter = new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj)));
        Assert.Equal(Reading.Bad(Start, QualityReason.NotANumber), ConvertOne(converter, Scan(0, 25, raw))[1]);
        Assert.Equal(Reading.Bad(Start, QualityReason.NotANumber), ConvertOne(converter, Scan(0, raw, 1))[0]);
        Assert.Equal(Reading.Bad(Start, QualityReason.ColdJunction), ConvertOne(converter, Scan(0, raw, 1))[1]);
    }

    [Fact]
    public void Bad_raw_quality_passes_with_its_reason_and_without_its_number()
    {
        var converter = new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj)));
        Reading reading = ConvertOne(converter, Scan(0, (25, SignalQuality.Good), (8.0, SignalQuality.Bad(QualityReason.OpenCircuit))))[1];
        Assert.Equal(Reading.Bad(Start, QualityReason.OpenCircuit), reading);
    }

    [Theory]
    [InlineData(54.0)] // 54 mV and 1.000 mV of the cold junction end above E(1372 °C) = 54.886 mV
    [InlineData(-7.5)] // below E(-270 °C) = -6.458 mV
    public void Emf_beyond_the_type_is_out_of_range(double millivolts)
    {
        var converter = new CellConverter(Of(TypeK("tc1", new ColdJunctionSource.Fixed(25))));
        Assert.Equal(Reading.Bad(Start, QualityReason.OutOfRange), ConvertOne(converter, Scan(0, millivolts))[0]);
    }

    [Fact]
    public void Pressure_of_zero_or_less_is_below_the_gauge()
    {
        var converter = new CellConverter(Of(Channel("p", new ChannelConversion { Unit = MeasuredUnit.Millibar, Scale = 0.1, Offset = -0.5 })));
        Assert.Equal(Reading.Bad(Start, QualityReason.BelowRange), ConvertOne(converter, Scan(0, 5))[0]);
        Assert.Equal(Reading.Bad(Start, QualityReason.BelowRange), ConvertOne(converter, Scan(0, 4))[0]);
        Assert.Equal(0.1, ConvertOne(converter, Scan(0, 6))[0].Value, tolerance: 1e-12);
    }

    [Fact]
    public void Temperature_below_absolute_zero_is_out_of_range()
    {
        var converter = new CellConverter(Of(ColdJunction()));
        Assert.Equal(SignalQuality.Good, ConvertOne(converter, Scan(0, -273.15))[0].Quality);
        Assert.Equal(Reading.Bad(Start, QualityReason.OutOfRange), ConvertOne(converter, Scan(0, -273.16))[0]);
    }

    [Fact]
    public void Saved_state_carries_the_cold_junction_over_a_restart()
    {
        var cell = Of(ColdJunction("box"), TypeK("tc1", FromCj));
        var before = new CellConverter(cell);
        before.Convert(Scan(0, 0, [25.0]), new Reading[2]);
        using var stream = new MemoryStream();
        using (var writer = new BinaryWriter(stream, System.Text.Encoding.UTF8, leaveOpen: true)) before.Save(writer);
        stream.Position = 0;
        var after = new CellConverter(cell);
        using (var reader = new BinaryReader(stream)) after.Load(reader);

        Reading[] expected = new Reading[2];
        Reading[] actual = new Reading[2];
        before.Convert(Scan(1, 3, [8.949798]), expected);
        after.Convert(Scan(1, 3, [8.949798]), actual);
        Assert.Equal(expected[1], actual[1]);
        Assert.Equal(245.0, actual[1].Value, tolerance: 1e-4);
    }

    [Fact]
    public void State_of_another_cell_is_refused()
    {
        using var stream = new MemoryStream(new byte[4]);
        using var reader = new BinaryReader(stream);
        Assert.Throws<InvalidDataException>(() => new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj))).Load(reader));
    }

    [Fact]
    public void Definition_that_contradicts_itself_is_refused()
    {
        ChannelDefinition k = TypeK("tc1", FromCj);
        Assert.Throws<ArgumentException>(() => new CellConverter(Of(k)));
        Assert.Throws<ArgumentException>(() => new CellConverter(Of(ColdJunction(), k with { Conversion = k.Conversion with { Thermocouple = 'X' } })));
        Assert.Throws<ArgumentException>(() => new CellConverter(Of(ColdJunction(), k with { Conversion = k.Conversion with { ColdJunction = null } })));
        Assert.Throws<ArgumentException>(() => new CellConverter(Of(ColdJunction()) with { Channels = [k with { Device = "none" }] }));
        Assert.Throws<ArgumentException>(() => new CellConverter(Of(TypeK("cj", new ColdJunctionSource.FromChannel("tc1")), k)));
    }

    [Fact]
    public void Scan_of_another_cell_is_refused()
    {
        var converter = new CellConverter(Of(ColdJunction()));
        Assert.Throws<ArgumentException>(() => converter.Convert(Scan(0, 25), new Reading[2]));
        Assert.Throws<ArgumentException>(() => converter.Convert(Scan(0, 25, 26), new Reading[1]));
        Assert.Throws<ArgumentException>(() => converter.Convert(Scan(1, 0, [25]), new Reading[1]));
    }

    [Fact]
    public void Nothing_is_allocated_for_a_scan()
    {
        var converter = new CellConverter(Of(ColdJunction(), TypeK("tc1", FromCj), TypeK("tc2", FromCj)));
        RawScan scan = Scan(0, 25, 8, 9);
        Reading[] readings = new Reading[3];
        converter.Convert(scan, readings);
        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int i = 0; i < 1000; i++) converter.Convert(scan, readings);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    private static Reading[] ConvertOne(CellConverter converter, RawScan scan)
    {
        Reading[] readings = new Reading[converter.ChannelCount];
        converter.Convert(scan, readings);
        return readings;
    }
}
