using CsCheck;
using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

/// <summary>NAMUR NE 43: a signal at a failure level counts as failed once it has stayed there for the filter time.</summary>
public class SignalFilterTimeTests
{
    private static readonly SignalQuality s_doubtful = SignalQuality.Uncertain(QualityReason.OutOfRange);
    private static readonly SignalQuality s_failed = SignalQuality.Bad(QualityReason.DeviceFault);

    [Theory]
    [InlineData(3.5)]
    [InlineData(3.6)]
    [InlineData(21)]
    [InlineData(22.5)]
    public void Failure_counts_after_two_seconds_at_its_level(double milliamperes)
    {
        CellConverter loop = Loop(SignalBands.Ne43);
        Assert.Equal(SignalQuality.Good, At(loop, 0, 12));
        Assert.Equal(s_doubtful, At(loop, 1, milliamperes));
        Assert.Equal(s_doubtful, At(loop, 2.9999999, milliamperes));
        Assert.Equal(s_failed, At(loop, 3, milliamperes));
        Assert.Equal(s_failed, At(loop, 60, milliamperes));
    }

    [Fact]
    public void Signal_that_measures_again_is_good_at_once_and_starts_the_time_anew()
    {
        CellConverter loop = Loop(SignalBands.Ne43);
        At(loop, 0, 3.5);
        Assert.Equal(s_failed, At(loop, 2, 3.5));
        Assert.Equal(SignalQuality.Good, At(loop, 2.5, 4));
        Assert.Equal(s_doubtful, At(loop, 3, 3.5));
        Assert.Equal(SignalQuality.Uncertain(QualityReason.UnderRange), At(loop, 4, 3.8));
        Assert.Equal(s_doubtful, At(loop, 5, 3.5));
        Assert.Equal(s_doubtful, At(loop, 6.9, 3.5));
        Assert.Equal(s_failed, At(loop, 7, 3.5));
    }

    [Fact]
    public void Between_failure_and_measurement_the_last_state_holds()
    {
        CellConverter loop = Loop(SignalBands.Ne43);
        Assert.Equal(s_doubtful, At(loop, 0, 3.7));
        Assert.Equal(s_doubtful, At(loop, 30, 3.7)); // for however long: it has never said failure
        Assert.Equal(s_doubtful, At(loop, 31, 3.59));
        Assert.Equal(s_doubtful, At(loop, 32, 3.61)); // flutters about the level, and has not come back
        Assert.Equal(s_failed, At(loop, 33, 3.59));
        Assert.Equal(s_failed, At(loop, 34, 3.7));
        Assert.Equal(s_failed, At(loop, 90, 20.7));
        Assert.Equal(SignalQuality.Good, At(loop, 91, 19));
    }

    [Fact]
    public void Thresholds_and_time_can_be_ones_own()
    {
        CellConverter loop = Loop(SignalBands.LoopMilliamperes(3.5, 3.75, 20.6, 21.5, filterSeconds: 0.5));
        Assert.Equal(SignalQuality.Uncertain(QualityReason.OverRange), At(loop, 0, 20.6));
        Assert.Equal(s_doubtful, At(loop, 1, 21.4));
        Assert.Equal(s_doubtful, At(loop, 2, 21.5));
        Assert.Equal(s_failed, At(loop, 2.5, 21.5));
        Assert.Equal(SignalQuality.Uncertain(QualityReason.UnderRange), At(loop, 3, 3.75));
    }

    [Fact]
    public void Without_a_filter_time_the_level_alone_decides()
    {
        CellConverter loop = Loop(SignalBands.Ne43 with { FilterSeconds = 0 });
        Assert.Equal(s_failed, At(loop, 0, 3.5));
        Assert.Equal(s_doubtful, At(loop, 1, 3.7));

        CellConverter gauge = Loop(SignalBands.SixTenthsOfAVoltPerDecade);
        Assert.Equal(s_failed, At(gauge, 0, 0.4));
    }

    [Fact]
    public void Each_channel_has_a_time_of_its_own()
    {
        ChannelConversion conversion = new() { Unit = MeasuredUnit.DegreeCelsius, Bands = SignalBands.Ne43 };
        var converter = new CellConverter(Of(Channel("a", conversion), Channel("b", conversion)));
        Reading[] readings = new Reading[2];
        converter.Convert(Scan(0, 3.5, 12), readings);
        converter.Convert(Scan(2, 3.5, 3.5), readings);
        Assert.Equal([s_failed, s_doubtful], readings.Select(reading => reading.Quality));
    }

    [Fact]
    public void State_saved_anywhere_goes_on_to_the_bit() =>
        Gen.Select(Gen.Double[3.4, 4.2].Array[1, 40], Gen.Int[0, 39]).Sample((milliamperes, cut) =>
        {
            CellConverter whole = Loop(SignalBands.Ne43);
            CellConverter parts = Loop(SignalBands.Ne43);
            for (int i = 0; i < milliamperes.Length; i++)
            {
                if (i == cut)
                {
                    using var stream = new MemoryStream();
                    parts.Save(new BinaryWriter(stream));
                    stream.Position = 0;
                    parts = Loop(SignalBands.Ne43);
                    parts.Load(new BinaryReader(stream));
                }

                Assert.Equal(At(whole, i * 0.5, milliamperes[i]), At(parts, i * 0.5, milliamperes[i]));
            }
        });

    private static CellConverter Loop(SignalBands bands) =>
        new(Of(Channel("loop", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Bands = bands })));

    private static SignalQuality At(CellConverter converter, double seconds, double signal)
    {
        Reading[] readings = new Reading[1];
        converter.Convert(Scan(seconds, signal), readings);
        return readings[0].Quality;
    }
}
