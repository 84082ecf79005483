using System.Text.Json;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
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
