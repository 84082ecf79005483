using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Engine;

public class VerdictTests
{
    private const string Real = "0:25 60:130 90:160 180:170 210:215 225:235 245:240 255:240 265:228 285:205 330:85";
    private const string Vacuum = "0:1013 228:1013 233:500 238:100 242:20 252:20 256:500 258:1013 330:1013";

    private static RunPicture Judge(string samples, params Limit[] limits) =>
        Example.Parse(samples, samples.StartsWith("0:1013", StringComparison.Ordinal)).Judge(Bench.Sac305(limits), null);

    private static Limit On(string figure, double? lower = null, double? upper = null, Severity severity = Severity.Fail) =>
        new() { Figure = figure, Lower = lower, Upper = upper, Severity = severity };

    [Fact]
    public void Run_that_meets_every_limit_passes()
    {
        RunPicture run = Judge($"{Vacuum} | {Real}", On("peakTemperature", 235, 245), On("timeAboveLiquidus", 40, 90), On("pumpDownTime", upper: 15));
        Assert.Equal(Verdict.Pass, run.Verdict);
        Assert.Empty(run.Reasons);
        FigureResult peak = run.Figures.Single(f => f.Figure == "peakTemperature");
        Assert.Equal((240, 5, Verdict.Pass, true), (peak.Value, peak.Margin, peak.Verdict, peak.Final));
    }

    [Fact]
    public void Broken_limit_fails_the_run_and_says_which()
    {
        RunPicture run = Judge(Real, On("timeAboveLiquidus", 40, 60), On("peakTemperature", upper: 245));
        Assert.Equal(Verdict.Fail, run.Verdict);
        Assert.Equal(["timeAboveLiquidus/tc1"], run.Reasons);
        Assert.Equal(60 - 63.0652174, run.Figures.First(f => f.Figure == "timeAboveLiquidus").Margin!.Value, 1e-6);
    }

    [Fact]
    public void Warning_never_changes_the_verdict()
    {
        RunPicture run = Judge(Real, On("timeAboveLiquidus", 40, 60, Severity.Warn), On("peakTemperature", upper: 245));
        Assert.Equal(Verdict.Pass, run.Verdict);
        Assert.Equal(Verdict.Fail, run.Figures.First(f => f.Figure == "timeAboveLiquidus").Verdict);
    }

    [Fact]
    public void Spec_without_limits_decides_nothing()
    {
        RunPicture run = Judge(Real);
        Assert.Equal((Verdict.Undetermined, "noLimits"), (run.Verdict, Assert.Single(run.Reasons)));
    }

    [Fact]
    public void Event_that_never_came_fails_any_limit_on_it()
    {
        RunPicture run = Judge("0:25 60:150 120:180 160:216.9 200:100", On("slopeAtLiquidus", upper: 3));
        Assert.Equal((Verdict.Fail, "slopeAtLiquidus/tc1:neverReached"), (run.Verdict, Assert.Single(run.Reasons)));
    }

    [Fact]
    public void Sum_over_what_never_came_is_zero_and_meets_an_upper_limit()
    {
        RunPicture run = Judge("0:25 60:150 120:180 160:216.9 200:100", On("timeAboveLiquidus", upper: 90));
        Assert.Equal(Verdict.Pass, run.Verdict);
        Assert.Equal(Verdict.Fail, Judge("0:25 60:150 120:180 160:216.9 200:100", On("timeAboveLiquidus", lower: 40)).Verdict);
    }

    [Fact]
    public void Bounds_that_lie_on_both_sides_of_a_limit_decide_nothing()
    {
        Example example = Example.Parse("0:205 1:210 2:215 3:220 4:225 5:230 8.5:226 9.5:222 10.5:218 11.5:214 12.5:210", false);
        RunPicture Run(double upper) => example.Judge(Bench.Sac305(On("timeAboveLiquidus", upper: upper)), TimeSpan.FromSeconds(3));

        Assert.Equal(Verdict.Pass, Run(8.36).Verdict); // the bounds are 7.05 to 8.35 s
        Assert.Equal((Verdict.Undetermined, "timeAboveLiquidus/tc1:gap"), (Run(8).Verdict, Assert.Single(Run(8).Reasons)));
        Assert.Equal(Verdict.Fail, Run(7).Verdict);
    }

    [Fact]
    public void Spec_with_vacuum_but_a_run_without_evacuation_fails()
    {
        RunPicture run = Judge($"0:1013 330:1013 | {Real}", On("pumpDownTime", upper: 15));
        // The gauge rested at 1013 mbar all along; at two readings in 330 s it needs the gap rule off to know that.
        Assert.Equal((Verdict.Fail, "pumpDownTime:neverReached"), (run.Verdict, Assert.Single(run.Reasons)));
        Assert.Equal(0, run.Figures.Single(f => f.Figure == "evacuations").Value);
    }

    [Fact]
    public void Evacuation_that_nobody_asked_for_leaves_the_run_undetermined()
    {
        Spec spec = Bench.Sac305(On("peakTemperature", upper: 245)) with { Vacuum = null };
        RunPicture run = Example.Parse($"{Vacuum} | {Real}", true).Judge(spec, null);
        Assert.Equal((Verdict.Undetermined, "unexpectedVacuum"), (run.Verdict, Assert.Single(run.Reasons)));
    }

    [Fact]
    public void Limit_that_no_channel_answers_for_is_undetermined()
    {
        Limit body = On("peakTemperature", upper: 245) with { Places = [Place.Body] };
        RunPicture run = Judge(Real, body);
        Assert.Equal((Verdict.Undetermined, "peakTemperature:noChannel"), (run.Verdict, Assert.Single(run.Reasons)));
    }

    [Fact]
    public void Lost_channel_leaves_what_was_not_final_undetermined_and_drops_out()
    {
        Example example = Example.Parse($"{Real} | 0:25 60:120 90:150 180:168 210:205 225:226", false);
        Spec spec = Bench.Sac305(On("timeAboveLiquidus", 40, 90), On("soakTime", 60, 200)) with { Vacuum = null };
        RunPicture run = example.Judge(spec, TimeSpan.FromSeconds(100));

        FigureResult time = run.Figures.Single(f => f.Figure == "timeAboveLiquidus" && f.ChannelId == "tc2");
        Assert.Equal((Verdict.Undetermined, FigureReasons.Truncated, null), (time.Verdict, time.Reason, time.High));
        FigureResult soak = run.Figures.Single(f => f.Figure == "soakTime" && f.ChannelId == "tc2");
        Assert.Equal(Verdict.Pass, soak.Verdict);
        Assert.Equal(FigureReasons.NoChannel, run.Figures.Single(f => f.Figure == "peakSpread").Reason);
    }

    [Fact]
    public void Figures_of_an_open_run_are_so_far_and_not_final()
    {
        var engine = new CellEngine(Bench.Cell());
        Bench.Feed(engine, Bench.Cycle(length: 296).Prepend(new SpecInput(Bench.Epoch, "A", Bench.Sac305(On("timeAboveLiquidus", 40, 90)))));
        RunPicture run = Assert.Single(engine.Picture().Runs);

        Assert.All(run.Figures, f => Assert.False(f.Final));
        Assert.All(run.Figures, f => Assert.Null(f.Verdict));
        FigureResult time = run.Figures.First(f => f.Figure == "timeAboveLiquidus" && f.ChannelId == "tc1");
        // Molten from second 271.5 on; the newest judged reading is that of 295.5 s.
        Assert.Equal(24, time.Value!.Value, 0.01);
        // The edge of 0.95 × 1013 is passed at 288.49 s; 50 mbar not yet.
        FigureResult pump = run.Figures.Single(f => f.Figure == "pumpDownTime");
        Assert.Equal(296 - 288.4937, pump.Value!.Value, 0.01);
        Assert.Null(run.Verdict);
    }
}
