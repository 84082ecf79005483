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

    // Critical values of F at 5 % as any table has them (from memory): F(1, 10) = 4.965, F(1, 20) = 4.351, F(1, 60) = 4.001. A rise whose
    // bend has just less or just more than that weight is told or not, so that the quantiles must be those of the table.
    [Theory]
    [InlineData(13, 4.965)]
    [InlineData(23, 4.351)]
    [InlineData(63, 4.001)]
    public void A_bend_counts_from_the_published_quantile_on(int readings, double quantile)
    {
        Assert.Equal(RiseCause.Outgassing, Bent(readings, 1.03 * quantile));
        Assert.NotEqual(RiseCause.Outgassing, Bent(readings, 0.97 * quantile));
    }

    [Fact]
    public void Readings_that_are_not_given_are_a_mistake_of_the_caller()
    {
        Assert.Throws<ArgumentNullException>(() => PressureRise.Of(null!, s_times));
        Assert.Throws<ArgumentNullException>(() => PressureRise.Of(s_times, null!));
    }

    /// <summary>An exponential rise with such noise that bending it explains that many times the mean square of what is left.</summary>
    private static RiseCause Bent(int readings, double weight)
    {
        double[] times = [.. Enumerable.Range(0, readings).Select(i => i * 10.0)];
        double tau = 0.8 * times[^1]; // bent little, so that the rise stands clear of the scatter
        double[] shape = [.. times.Select(t => 1 - Math.Exp(-t / tau))];
        double[] noise = Orthogonal(times, shape, tau);
        double bend = ResidualOf(times, shape), scatter = noise.Sum(v => v * v) / (readings - 3);
        double scale = Math.Sqrt(bend / (weight * scatter));
        return PressureRise.Of(times, [.. shape.Select((p, i) => 2 + p + (scale * noise[i]))]).Cause;
    }

    /// <summary>Noise that neither a line, nor the bend, nor a bend a little different takes up.</summary>
    private static double[] Orthogonal(double[] times, double[] shape, double tau)
    {
        double[][] basis = [[.. times.Select(_ => 1.0)], times, shape, [.. times.Select(t => t * Math.Exp(-t / tau))]];
        List<double[]> axes = [];
        var random = new Random(7);
        double[] noise = [.. times.Select(_ => random.NextDouble() - 0.5)];
        foreach (double[] vector in basis.Append(noise))
        {
            double[] left = [.. vector];
            foreach (double[] axis in axes)
            {
                double along = left.Zip(axis, (a, b) => a * b).Sum();
                left = [.. left.Zip(axis, (a, b) => a - (along * b))];
            }

            double size = Math.Sqrt(left.Sum(v => v * v));
            axes.Add([.. left.Select(v => v / size)]);
        }

        return axes[^1];
    }

    private static double ResidualOf(double[] times, double[] values)
    {
        double meanT = times.Average(), meanP = values.Average();
        double slope = times.Zip(values, (t, p) => (t - meanT) * (p - meanP)).Sum() / times.Sum(t => (t - meanT) * (t - meanT));
        return times.Zip(values, (t, p) => p - meanP - (slope * (t - meanT))).Sum(r => r * r);
    }
}
