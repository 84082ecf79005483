using System.Text.Json;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Tests.Configuration;

public sealed class ConversionReaderTests
{
    [Fact]
    public void A_loop_gauge_with_a_barometer_and_a_calibration_is_read()
    {
        (ChannelConversion conversion, List<ConfigurationFault> faults) = Read("""
            { "unit": "Torr", "scale": 0.001, "bands": "ne43", "law": { "kind": "linear", "signal": [4, 20], "value": [0, 1000] },
              "ambientChannel": "baro", "range": [0.1, 1100],
              "sentinels": [ { "from": 32767, "quality": "bad:openCircuit", "wordBits": 16 } ],
              "status": { "point": "state", "rules": [ { "bit": 3, "quality": "uncertain:overRange" }, { "mask": 240, "value": 16, "quality": "bad:deviceFault" } ] },
              "calibrations": [ { "version": 1, "validFrom": "2026-01-10", "due": "2027-01-10", "certificate": "C-17", "points": [[10, 10.2], [1000, 1001]], "U": 0.5 } ] }
            """);
        Assert.Empty(faults);
        Assert.Equal((MeasuredUnit.Millibar, PressureUnit.Torr), (conversion.Unit, conversion.PressureUnit));
        Assert.Equal(new AnalogueLaw.Linear(4, 20, 0, 1000), conversion.Law);
        Assert.Same(SignalBands.Ne43, conversion.Bands);
        Assert.Equal((0.1, 1100.0), (conversion.Lowest, conversion.Highest));
        Assert.True(conversion.Sentinels.Single().Matches(-32769) || conversion.Sentinels.Single().Matches(32767));
        Assert.Equal(SignalQuality.Uncertain(QualityReason.OverRange), conversion.Status!.Read(8));
        Assert.Equal(SignalQuality.Bad(QualityReason.DeviceFault), conversion.Status!.Read(16));
        Calibration calibration = conversion.Calibrations.At(Timestamp.From(new DateTimeOffset(2026, 5, 1, 0, 0, 0, TimeSpan.Zero)))!;
        Assert.Equal(10.2, calibration.Apply(10), 9);
        Assert.Equal("C-17", calibration.Certificate);
    }

    [Fact]
    public void A_loop_can_have_thresholds_and_a_filter_time_of_its_own()
    {
        (ChannelConversion conversion, List<ConfigurationFault> faults) = Read("""
            { "unit": "mbar", "bands": { "kind": "ne43", "failLow_mA": 3.5, "measureLow_mA": 3.75, "measureHigh_mA": 20.6, "failHigh_mA": 21.5, "filter_s": 4 } }
            """);
        Assert.Empty(faults);
        SignalBands expected = SignalBands.LoopMilliamperes(3.5, 3.75, 20.6, 21.5, 4);
        Assert.Equal(expected.Bands, conversion.Bands!.Bands);
        Assert.Equal((expected.Elsewhere, 4.0), (conversion.Bands.Elsewhere, conversion.Bands.FilterSeconds));

        ChannelConversion usual = Read("""{ "unit": "mbar", "bands": { "kind": "ne43" } }""").Conversion;
        Assert.Equal(SignalBands.Ne43.Bands, usual.Bands!.Bands);
        Assert.Equal(2, usual.Bands.FilterSeconds);
    }

    [Theory]
    [InlineData("""{ "kind": "straightLine" }""", 41.276 / 1000, 0, true)]
    [InlineData("""{ "kind": "fiveMillivoltsPerKelvin", "referenceVolts": 1.25 }""", 1000 / 122.4, 1.25125, false)]
    [InlineData("""{ "kind": "general", "millivoltsPerUnit": 2, "referenceInput": 0.5, "relativeToColdJunction": true }""", 2, 0.5, true)]
    public void An_amplifiers_law_is_read(string law, double millivoltsPerUnit, double reference, bool relative)
    {
        (ChannelConversion conversion, List<ConfigurationFault> faults) = Read($$"""
            { "unit": "degC", "thermocouple": "K", "coldJunction": "cj", "amplifier": {{law}} }
            """);
        Assert.Empty(faults);
        AmplifierLaw read = conversion.Amplifier!;
        Assert.Equal((millivoltsPerUnit, relative), (read.MillivoltsPerUnit, read.IsRelativeToColdJunction));
        Assert.Equal(reference, read.ReferenceInput, 12);
    }

    [Theory]
    [InlineData("""{ "unit": "mbar", "law": { "kind": "cubic" } }""", "channel.law.kind", "linear, logarithmic")]
    [InlineData("""{ "unit": "mbar", "law": { "kind": "linear", "signal": [4, 4], "value": [0, 1] } }""", "channel.law", "\"signal\": [4, 20]")]
    [InlineData("""{ "unit": "mbar", "law": { "kind": "table", "points": [[1, 2], [0, 3]] } }""", "channel.law.points", "Signals must rise")]
    [InlineData("""{ "unit": "mbar", "law": { "kind": "logarithmic", "a": 6.8, "b": 0 } }""", "channel.law.b", "manual")]
    [InlineData("""{ "unit": "mbar", "bands": "ne44" }""", "channel.bands", "ne43")]
    [InlineData("""{ "unit": "mbar", "bands": { "failLow_mA": 3.6 } }""", "channel.bands.kind", "ne43")]
    [InlineData("""{ "unit": "mbar", "bands": { "kind": "loop" } }""", "channel.bands.kind", "ne43")]
    [InlineData("""{ "unit": "mbar", "bands": { "kind": "ne43", "failLow_mA": 3.9 } }""", "channel.bands.failLow_mA", "3.6 and 3.8")]
    [InlineData("""{ "unit": "mbar", "bands": { "kind": "ne43", "failHigh_mA": 20.5 } }""", "channel.bands.failHigh_mA", "20.5 and 21")]
    [InlineData("""{ "unit": "mbar", "bands": { "kind": "ne43", "measureHigh_mA": 19 } }""", "channel.bands.measureHigh_mA", "from 20 to 30")]
    [InlineData("""{ "unit": "mbar", "bands": { "kind": "ne43", "filter_s": -1 } }""", "channel.bands.filter_s", "from 0 to 60")]
    [InlineData("""{ "unit": "mbar", "bands": { "kind": "ne43", "filter": 1 } }""", "channel.bands.filter", "filter_s")]
    [InlineData("""{ "unit": "mbar", "range": [5, 1] }""", "channel.range", "[0, 1100]")]
    [InlineData("""{ "unit": "mV", "sentinels": [ { "from": 1, "quality": "good" } ] }""", "channel.sentinels[0].quality", "bad:")]
    [InlineData("""{ "unit": "mV", "calibrations": [ { "version": 1, "validFrom": "yesterday", "points": [[1, 2]] } ] }""", "channel.calibrations[0].validFrom", "2026-11-25")]
    [InlineData("""{ "unit": "mV", "calibrations": [ { "version": 1, "validFrom": "2026-01-01", "points": [[2, 2], [1, 1]] } ] }""", "channel.calibrations[0].points", "rise")]
    [InlineData("""{ "unit": "mV", "word": "halves" }""", "channel.word", "sixteenths16")]
    public void A_fault_is_named_with_its_remedy(string json, string path, string remedy)
    {
        (_, List<ConfigurationFault> faults) = Read(json);
        Assert.Contains(faults, f => f.Path == path && f.Remedy.Contains(remedy, StringComparison.Ordinal));
    }

    private static (ChannelConversion Conversion, List<ConfigurationFault> Faults) Read(string json)
    {
        List<ConfigurationFault> faults = [];
        var scope = new JsonScope(JsonSerializer.Deserialize<JsonElement>(json), "channel", faults);
        ChannelConversion conversion = ConversionReader.Read(scope);
        scope.NothingElse();
        return (conversion, faults);
    }
}
