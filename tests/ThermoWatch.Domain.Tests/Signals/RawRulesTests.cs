using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

/// <summary>Fault values as makers' manuals of Modbus thermocouple modules print them.</summary>
public class RawRulesTests
{
    private static readonly Sentinel Below = new(-32768, QualityReason.OutOfRange, wordBits: 16);

    [Theory]
    [InlineData(-32768, true)]
    [InlineData(32768, true)]
    [InlineData(32767, false)]
    [InlineData(-32767, false)]
    public void Word_is_recognised_whatever_sign_the_driver_gave_it(double raw, bool matches)
    {
        Assert.Equal(matches, Below.Matches(raw));
        Assert.Equal(matches, new Sentinel(32768, QualityReason.OutOfRange, wordBits: 16).Matches(raw));
    }

    [Fact]
    public void Plain_number_is_not_a_word()
    {
        var sentinel = new Sentinel(-32768, QualityReason.OutOfRange);
        Assert.True(sentinel.Matches(-32768));
        Assert.False(sentinel.Matches(32768));
    }

    [Theory]
    [InlineData(1.0e37)]
    [InlineData(2.0e37)]
    [InlineData(3.0e37)]
    [InlineData(6.0e37)]
    [InlineData(-999)]
    public void Float_message_is_recognised_as_single_precision_carries_it(double printed)
    {
        var sentinel = new Sentinel(printed, QualityReason.DeviceFault);
        Assert.True(sentinel.Matches((float)printed));
        Assert.True(sentinel.Matches(printed));
        Assert.False(sentinel.Matches(Math.BitIncrement((double)MathF.BitIncrement((float)printed))));
    }

    [Fact]
    public void Stretch_of_error_numbers_is_recognised_to_its_ends()
    {
        var errors = new Sentinel(-32767, -32001, SignalQuality.Bad(QualityReason.DeviceFault), WordBits: 16);
        Assert.True(errors.Matches(-32005));
        Assert.True(errors.Matches(-32001));
        Assert.True(errors.Matches(-32767));
        Assert.True(errors.Matches(65536 - 32005));
        Assert.False(errors.Matches(-32000));
        Assert.False(errors.Matches(-32768));
        Assert.False(new Sentinel(1, 3, SignalQuality.Bad(QualityReason.DeviceFault)).Matches(4));
    }

    [Fact]
    public void Sentinel_is_compared_before_scaling_and_a_doubtful_one_keeps_its_number()
    {
        var tenths = new ChannelConversion
        {
            Unit = MeasuredUnit.DegreeCelsius,
            Scale = 0.1,
            Sentinels =
            [
                new(32767, QualityReason.OpenCircuit, wordBits: 16),
                Below,
                new(13721, 16220, SignalQuality.Uncertain(QualityReason.OverRange), WordBits: 16),
            ],
        };
        Assert.Equal(Reading.Bad(Start, QualityReason.OpenCircuit), ConvertOne(tenths, 32767));
        Assert.Equal(Reading.Bad(Start, QualityReason.OutOfRange), ConvertOne(tenths, -32768));
        Assert.Equal(new Reading(Start, 1400, SignalQuality.Uncertain(QualityReason.OverRange)), ConvertOne(tenths, 14000));
        Assert.Equal(new Reading(Start, 1372, SignalQuality.Good), ConvertOne(tenths, 13720));
        Assert.Equal(new Reading(Start, -12.3, SignalQuality.Good), ConvertOne(tenths, -123) with { Value = -12.3 });
    }

    [Theory]
    [InlineData(0, QualityReason.None)]
    [InlineData(1, QualityReason.UnderRange)]
    [InlineData(2, QualityReason.OverRange)]
    [InlineData(3, QualityReason.UnderRange)] // both bits: the first rule counts
    [InlineData(64, QualityReason.DeviceFault)]
    [InlineData(-1, QualityReason.UnderRange)]
    [InlineData(0.5, QualityReason.Garbled)]
    [InlineData(double.NaN, QualityReason.Garbled)]
    [InlineData(4294967296.0, QualityReason.Garbled)]
    [InlineData(-2147483649.0, QualityReason.Garbled)]
    public void Status_bits_become_qualities(double raw, QualityReason reason)
    {
        var status = new StatusWord("s", [
            StatusRule.Bit(0, SignalQuality.Uncertain(QualityReason.UnderRange)),
            StatusRule.Bit(1, SignalQuality.Uncertain(QualityReason.OverRange)),
            StatusRule.Bit(6, SignalQuality.Bad(QualityReason.DeviceFault)),
        ]);
        Assert.Equal(reason, status.Read(raw).Reason);
    }

    [Theory]
    [InlineData(0, QualityReason.None)]
    [InlineData(3, QualityReason.DeviceFault)]
    [InlineData(4, QualityReason.OpenCircuit)]
    [InlineData(0x104, QualityReason.OpenCircuit)] // other bits of the register are not ours
    public void Status_codes_become_qualities(double raw, QualityReason reason)
    {
        var status = new StatusWord("s", [
            new StatusRule(0xFF, 3, SignalQuality.Bad(QualityReason.DeviceFault)),
            new StatusRule(0xFF, 4, SignalQuality.Bad(QualityReason.OpenCircuit)),
        ]);
        Assert.Equal(reason, status.Read(raw).Reason);
    }

    [Fact]
    public void Flagged_value_is_no_measurement_and_an_unread_status_is_not_a_good_one()
    {
        var conversion = new ChannelConversion
        {
            Unit = MeasuredUnit.DegreeCelsius,
            Status = new StatusWord("state.raw", [StatusRule.Bit(0, SignalQuality.Bad(QualityReason.OpenCircuit))]),
        };
        var converter = new CellConverter(Of(Channel("tc", conversion), Channel("state", new ChannelConversion { Unit = MeasuredUnit.One })));
        Reading[] readings = new Reading[2];
        converter.Convert(Scan(0, 1370, 1), readings);
        Assert.Equal(Reading.Bad(Start, QualityReason.OpenCircuit), readings[0]);
        converter.Convert(Scan(0, 245, 0), readings);
        Assert.Equal(new Reading(Start, 245, SignalQuality.Good), readings[0]);
        converter.Convert(Scan(0, (245, SignalQuality.Good), (double.NaN, SignalQuality.Bad(QualityReason.Refused))), readings);
        Assert.Equal(Reading.Bad(Start, QualityReason.Refused), readings[0]);
    }

    private static Reading ConvertOne(ChannelConversion conversion, double raw)
    {
        Reading[] readings = new Reading[1];
        new CellConverter(Of(Channel("tc", conversion))).Convert(Scan(0, raw), readings);
        return readings[0];
    }
}
