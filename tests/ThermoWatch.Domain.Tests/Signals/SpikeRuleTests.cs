using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class SpikeRuleTests
{
    [Theory]
    [InlineData(1, 110.001, 2, 100, true)]
    [InlineData(1, 110, 2, 100, false)] // exactly 10 K from the line
    [InlineData(1, 89.999, 2, 100, true)]
    [InlineData(1, 120.001, 2, 120, true)] // the line passes 110 in the middle
    [InlineData(1, 119.9, 2, 120, false)]
    [InlineData(0.5, 115.001, 2, 120, true)] // and 105 a quarter on
    [InlineData(1, 150, 2, 120.001, false)] // neighbours differ by more than 10 K/s: a real change
    [InlineData(1, 150, 3, 100, true)]
    [InlineData(1, 150, 3.001, 100, false)] // neighbours too far apart to know
    [InlineData(2, 150, 2, 100, false)] // no order in time
    [InlineData(0, 150, 2, 100, false)]
    public void Reading_far_from_both_neighbours_is_a_spike(double seconds, double value, double nextSeconds, double nextValue, bool isSpike)
    {
        Reading current = At(seconds, value);
        Reading marked = SpikeRule.Mark(At(0, 100), current, At(nextSeconds, nextValue));
        Assert.Equal(isSpike ? SignalQuality.Uncertain(QualityReason.Spike) : SignalQuality.Good, marked.Quality);
        Assert.Equal(value, marked.Value);
        Assert.Equal(current.Time, marked.Time);
    }

    [Fact]
    public void Only_good_readings_are_marked_and_only_between_values()
    {
        Reading spike = At(1, 150);
        Reading hole = Reading.Bad(Start, QualityReason.NoCommunication);
        Assert.False(SpikeRule.IsSpike(hole, spike, At(2, 100)));
        Assert.False(SpikeRule.IsSpike(At(0, 100), spike, hole));
        Assert.False(SpikeRule.IsSpike(At(0, 100), hole, At(2, 100)));
        Reading doubtful = spike with { Quality = SignalQuality.Uncertain(QualityReason.OverRange) };
        Assert.Equal(doubtful, SpikeRule.Mark(At(0, 100), doubtful, At(2, 100)));
    }

    private static Reading At(double seconds, double value) => new(Start.AddSeconds(seconds), value, SignalQuality.Good);
}
