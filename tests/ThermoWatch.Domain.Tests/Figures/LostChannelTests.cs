using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>A wire that breaks in the soak takes its channel out of the carrier's figures; it accuses no board.</summary>
public class LostChannelTests
{
    private static RunPicture Run(Func<double, double> third, params Limit[] limits)
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t)).Product("tc2", t => Bench.Board(t, 4)).Product("tc3", third);
        return line.Live(520, new SpecInput(Bench.Epoch, "A", Bench.Sac305(limits) with { Vacuum = null })).Engine.LastRun("A")!;
    }

    [Fact]
    public void Spread_of_the_others_is_told_with_the_lost_one_named_and_the_run_is_undetermined()
    {
        RunPicture run = Run(t => t < 200 ? Bench.Board(t) : double.NaN, new Limit { Figure = "liquidusSpread", Upper = 20 }, new Limit { Figure = "sustainedPeak", Lower = 230 });
        FigureResult spread = run.Figures.Single(f => f.Figure == "liquidusSpread");
        Assert.Equal(4, spread.Value!.Value, 0.01);
        Assert.Equal((Verdict.Pass, "channelLost:tc3"), (spread.Verdict!.Value, Assert.Single(spread.Notes, n => n.StartsWith("channelLost", StringComparison.Ordinal))));
        Assert.Equal(Verdict.Undetermined, run.Verdict);
    }

    [Fact]
    public void Place_that_was_measured_to_the_end_and_never_melted_still_decides()
    {
        RunPicture run = Run(t => Math.Min(Bench.Board(t), 210), new Limit { Figure = "liquidusSpread", Upper = 20 });
        FigureResult spread = run.Figures.Single(f => f.Figure == "liquidusSpread");
        Assert.Equal((null, "neverReached", Verdict.Fail), (spread.Value, spread.Reason, spread.Verdict!.Value));
    }

    [Fact]
    public void One_channel_that_is_left_has_no_spread()
    {
        Line line = new Line().Product("tc1", t => Bench.Board(t)).Product("tc2", t => t < 200 ? Bench.Board(t) : double.NaN);
        RunPicture run = line.Live(520, new SpecInput(Bench.Epoch, "A", Bench.Sac305(new Limit { Figure = "liquidusSpread", Upper = 20 }) with { Vacuum = null })).Engine.LastRun("A")!;
        FigureResult spread = run.Figures.Single(f => f.Figure == "liquidusSpread");
        Assert.Equal((null, "noChannel", Verdict.Undetermined), (spread.Value, spread.Reason, spread.Verdict!.Value));
    }
}
