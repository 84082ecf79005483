using ThermoWatch.Domain.Runs;

namespace ThermoWatch.Domain.Tests.Runs;

public sealed class ReferenceCorridorTests
{
    [Fact]
    public void The_corridor_is_the_median_and_three_robust_spreads_at_each_moment_of_a_phase()
    {
        // Deviations from the median 0 2 4 6 8: median 4, absolute 4 2 0 2 4, MAD 2.
        ReferenceCorridor corridor = ReferenceCorridor.Of([.. new double[] { 0, 2, 4, 6, 8 }.Select(shift => Run(soak: 100, shift))], floor: 1)!;
        CorridorBand band = corridor.BandAt("tc1", "soak", 50)!.Value;
        Assert.Equal(Level(130) + 4, band.Median, 1e-9);
        Assert.Equal(3 * 1.4826 * 2, band.High - band.Median, 1e-9);
        Assert.Equal(3 * 1.4826 * 2, band.Median - band.Low, 1e-9);
        Assert.Equal(5, band.Runs);
    }

    [Fact]
    public void A_longer_soak_does_not_widen_what_comes_after_it()
    {
        ReferenceCorridor corridor = ReferenceCorridor.Of([.. new double[] { 96, 98, 100, 102, 104 }.Select(soak => Run(soak, 0))], floor: 0.5)!;
        CorridorBand band = corridor.BandAt("tc1", "ramp", 10)!.Value;
        Assert.Equal(0.5, band.High - band.Median, 1e-9);
    }

    [Fact]
    public void Between_steps_it_is_a_straight_line()
    {
        ReferenceCorridor corridor = ReferenceCorridor.Of([.. Enumerable.Range(0, 5).Select(_ => Run(100, 0))], floor: 1)!;
        double at10 = corridor.BandAt("tc1", "ramp", 10)!.Value.Median;
        double at11 = corridor.BandAt("tc1", "ramp", 11)!.Value.Median;
        Assert.Equal((at10 + at11) / 2, corridor.BandAt("tc1", "ramp", 10.5)!.Value.Median, 1e-9);
    }

    [Fact]
    public void Where_fewer_than_five_runs_tell_nothing_is_expected()
    {
        CorridorRun[] runs = [.. new double[] { 100, 100, 100, 100, 60 }.Select(soak => Run(soak, 0))];
        ReferenceCorridor corridor = ReferenceCorridor.Of(runs, floor: 1)!;
        Assert.NotNull(corridor.BandAt("tc1", "soak", 60));
        Assert.Null(corridor.BandAt("tc1", "soak", 61));
        Assert.Null(corridor.BandAt("tc1", "soak", -1));
        Assert.Null(corridor.BandAt("tc2", "soak", 10));
        Assert.Null(ReferenceCorridor.Of(runs[..4], floor: 1));
    }

    [Fact]
    public void A_gap_in_a_released_run_tells_nothing()
    {
        CorridorRun whole = Run(100, 0);
        CorridorCurve curve = whole.Curves[0];
        int[] kept = [.. Enumerable.Range(0, curve.Seconds.Length).Where(i => curve.Seconds[i] is < 100 or > 110)];
        CorridorRun torn = whole with { Curves = [curve with { Seconds = [.. kept.Select(i => curve.Seconds[i])], Values = [.. kept.Select(i => curve.Values[i])] }] };
        ReferenceCorridor corridor = ReferenceCorridor.Of([whole, whole, whole, whole, torn], floor: 1)!;
        Assert.Null(corridor.BandAt("tc1", "soak", 25)); // 105 s of the run
        Assert.NotNull(corridor.BandAt("tc1", "soak", 10));
    }

    /// <summary>80 s of preheat, a soak, 60 s of ramp; a reading each half second.</summary>
    private static CorridorRun Run(double soak, double shift)
    {
        double[] seconds = [.. Enumerable.Range(0, (int)(2 * (140 + soak)) + 1).Select(i => i / 2.0)];
        double[] values = [.. seconds.Select(t => shift + (t <= 80 ? Level(t) : t <= 80 + soak ? Level(80 + ((t - 80) * 100 / soak)) : Level(180 + t - 80 - soak)))];
        return new CorridorRun(
            [new("preheat", 0, 80), new("soak", 80, 80 + soak), new("ramp", 80 + soak, 140 + soak)],
            [new CorridorCurve("tc1", [.. seconds], [.. values])]);
    }

    private static double Level(double t) => t <= 80 ? 40 + (1.375 * t) : t <= 180 ? 150 + (0.3 * (t - 80)) : 180 + (t - 180);
}
