using ThermoWatch.Domain.Pressure;

namespace ThermoWatch.Domain.Tests.Pressure;

public class PressureRiseTests
{
    private static readonly double[] s_times = [.. Enumerable.Range(0, 61).Select(i => i * 10.0)];

    private static PressureRise Of(Func<double, double> pressure, double noise, int seed)
    {
        var random = new Random(seed);
        return PressureRise.Of(s_times, [.. s_times.Select(t => pressure(t) + (noise * (random.NextDouble() + random.NextDouble() + random.NextDouble() - 1.5)))]);
    }

    [Fact]
    public void Outgassing_is_told_through_noise()
    {
        for (int seed = 0; seed < 50; seed++)
        {
            PressureRise gas = Of(t => 2 + (1.5 * (1 - Math.Exp(-t / 150))), 0.02, seed);
            Assert.Equal(RiseCause.Outgassing, gas.Cause);
            Assert.Equal(150, gas.TimeConstant, 10.0);
        }
    }

    [Fact]
    public void Leak_is_told_through_noise_and_mistaken_no_more_often_than_chance_allows()
    {
        PressureRise[] rises = [.. Enumerable.Range(0, 300).Select(seed => Of(t => 2 + (0.002 * t), 0.02, seed))];
        Assert.All(rises, r => Assert.Equal(0.002, r.LineRate, 4e-5));
        Assert.True(rises.Count(r => r.Cause == RiseCause.Outgassing) <= 9, "the level is 5 %, and most of it lies beyond the record");
        Assert.True(rises.Count(r => r.Cause == RiseCause.Leak) > 270);
    }

    [Fact]
    public void What_the_data_cannot_tell_is_undecided()
    {
        Assert.Equal(RiseCause.Undecided, Of(_ => 2, 0.05, 1).Cause); // no rise
        Assert.Equal(RiseCause.Undecided, Of(t => 2 + (0.0001 * t), 0.05, 1).Cause); // lost in the noise
        Assert.Equal(RiseCause.Undecided, PressureRise.Of([0, 1, 2, 3], [0, 1, 2, 3]).Cause); // too few
        Assert.Equal(RiseCause.Leak, PressureRise.Of([0, 1, 2, 3, 4], [0, 1, 2, 3, 4]).Cause);
    }
}
