using System.Text.Json;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Signals.Filters;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Tests.Codecs;

/// <summary>A journal carries the wiring that its readings were taken with: every part of it must come back.</summary>
public sealed class CellJsonTests
{
    private static readonly Calibration Certificate = new([new(10, 10.2), new(100, 99.7), new(1000, 1001)])
    {
        Version = 2,
        ValidFrom = new Timestamp(638_000_000_000_000_000),
        Due = new Timestamp(638_300_000_000_000_000),
        Certificate = "C-17 \"ä\"",
        ExpandedUncertainty = 0.1,
        CoverageFactor = 2.5,
    };

    public static TheoryData<int> All => [.. Enumerable.Range(0, Conversions.Length)];

    private static ChannelConversion[] Conversions =>
    [
        new() { Unit = MeasuredUnit.Millivolt, Scale = 0.001, Offset = -1e-9, Thermocouple = 'N', ColdJunction = new ColdJunctionSource.AlreadyApplied() },
        new() { Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("cj"), ColdJunctionLimits = new(0, 60, 1.5) },
        new() { Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.Fixed(0.1), Calibrations = new([Certificate]) },
        new() { Unit = MeasuredUnit.DegreeCelsius, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("cj"), Amplifier = AmplifierLaw.StraightLine() },
        new()
        {
            Unit = MeasuredUnit.Millibar,
            PressureUnit = PressureUnit.Torr,
            Bands = SignalBands.Ne43,
            Law = new AnalogueLaw.Linear(4, 20, 0, 1000),
            AmbientChannel = "baro",
            AmbientMaxAgeSeconds = 60,
            Lowest = 0.1,
            Highest = 1100,
        },
        new() { Unit = MeasuredUnit.Millibar, Law = new AnalogueLaw.Logarithmic(6.8, 0.6), Bands = SignalBands.SixTenthsOfAVoltPerDecade },
        new() { Unit = MeasuredUnit.Millibar, Law = new AnalogueLaw.PseudoLogarithmic() },
        new() { Unit = MeasuredUnit.Millibar, Law = new AnalogueLaw.Table([(0, 1), (1, 10), (2.5, 400)]) },
        new()
        {
            Unit = MeasuredUnit.DegreeCelsius,
            Word = WordFormat.Quarters14Of32,
            Sentinels = [new Sentinel(32767, QualityReason.OpenCircuit, 16), new Sentinel(1, 5, SignalQuality.Uncertain(QualityReason.OverRange))],
            Status = new StatusWord("state", [StatusRule.Bit(31, SignalQuality.Bad(QualityReason.DeviceFault)), new(0xF0, 0x10, SignalQuality.Bad(QualityReason.Refused))]),
        },
    ];

    [Fact]
    public void What_is_known_of_a_channels_errors_and_its_filter_come_back()
    {
        ChannelDefinition channel = new()
        {
            Id = "tc1",
            Name = "Joint",
            Role = ChannelRole.Product,
            Device = "amp",
            Point = "p0",
            Conversion = Conversions[0],
            TemperatureUncertainty = new() { Wire = ToleranceClass.Iec2, Letter = 'N', HasExtension = false, ColdJunctionKelvin = 0.5, AttachmentKelvin = 1.1 },
            PressureUncertainty = new() { InstrumentShare = 0.15, IsGasDependent = true },
            Filter = new FilterDefinition(FilterKind.MainsAverage) { MainsHertz = [50, 60] },
        };
        byte[] json = JsonSerializer.SerializeToUtf8Bytes(channel, RecordJson.Options);
        ChannelDefinition back = JsonSerializer.Deserialize<ChannelDefinition>(json, RecordJson.Options)!;
        Assert.Equal((channel.TemperatureUncertainty, channel.PressureUncertainty, channel.Filter), (back.TemperatureUncertainty, back.PressureUncertainty, back.Filter));

        // A record from before there were any of them.
        string old = System.Text.Encoding.UTF8.GetString(JsonSerializer.SerializeToUtf8Bytes(channel with { TemperatureUncertainty = null, PressureUncertainty = null, Filter = null }, RecordJson.Options))
            .Replace(",\"temperatureUncertainty\":null,\"pressureUncertainty\":null,\"filter\":null", "", StringComparison.Ordinal);
        Assert.DoesNotContain("ncertainty", old, StringComparison.Ordinal);
        ChannelDefinition read = JsonSerializer.Deserialize<ChannelDefinition>(old, RecordJson.Options)!;
        Assert.Null(read.TemperatureUncertainty);
        Assert.Null(read.Filter);
    }

    [Fact]
    public void Loop_of_a_record_from_before_there_was_a_filter_time_has_none()
    {
        string json = System.Text.Encoding.UTF8.GetString(JsonSerializer.SerializeToUtf8Bytes(SignalBands.Ne43, RecordJson.Options));
        Assert.Contains("\"filterSeconds\":2", json, StringComparison.Ordinal);
        SignalBands old = JsonSerializer.Deserialize<SignalBands>(
            json.Replace(",\"filterSeconds\":2", "", StringComparison.Ordinal).Replace("\"filterSeconds\":2,", "", StringComparison.Ordinal), RecordJson.Options)!;
        Assert.Equal(0, old.FilterSeconds); // as it was judged then
        Assert.Equal(SignalBands.Ne43.Bands, old.Bands);
    }

    [Theory]
    [MemberData(nameof(All))]
    public void A_conversion_comes_back_as_it_was(int index)
    {
        ChannelConversion conversion = Conversions[index];
        byte[] json = JsonSerializer.SerializeToUtf8Bytes(conversion, RecordJson.Options);
        ChannelConversion back = JsonSerializer.Deserialize<ChannelConversion>(json, RecordJson.Options)!;
        Assert.Equal(conversion.Calibrations, back.Calibrations);
        Assert.Equal(conversion.Law, back.Law);
        Assert.Equal(conversion.ColdJunction, back.ColdJunction);
        Assert.Equal(conversion.Sentinels, back.Sentinels);
        Assert.Equivalent(conversion, back, strict: true);
        Assert.Equal(json, JsonSerializer.SerializeToUtf8Bytes(back, RecordJson.Options));
    }
}
