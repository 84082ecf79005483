using CsCheck;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Engine;
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
        SpikeCheck? check = SpikeRule.Check(
            Start.UtcTicks, 100, Start.AddSeconds(seconds).UtcTicks, value, Start.AddSeconds(nextSeconds).UtcTicks, nextValue);
        Assert.Equal(isSpike, check is { IsSpike: true });
    }

    [Fact]
    public void Spike_is_marked_one_reading_later_and_keeps_its_value()
    {
        SpikeMarker marker = default;
        Assert.Null(marker.Offer(At(0, 100)));
        Assert.Null(marker.Offer(At(1, 150)));
        Reading marked = marker.Offer(At(2, 101))!.Value;
        Assert.Equal(new Reading(Start.AddSeconds(1), 150, SignalQuality.Uncertain(QualityReason.Spike)), marked);
        Assert.Null(marker.Offer(At(3, 102)));
    }

    [Fact]
    public void Readings_that_are_not_judged_are_no_neighbours()
    {
        SpikeMarker marker = default;
        marker.Offer(At(0, 100));
        Assert.Null(marker.Offer(At(0.5, 300) with { Quality = SignalQuality.Uncertain(QualityReason.ColdJunction) }));
        marker.Offer(At(1, 150));
        Assert.Null(marker.Offer(Reading.Bad(Start.AddSeconds(1.5), QualityReason.NoCommunication)));
        Assert.Null(marker.Offer(At(0.9, 100))); // came too late to be one
        Assert.NotNull(marker.Offer(At(2, 100)));
    }

    [Fact]
    public void Reading_beyond_the_span_can_be_a_spike_too()
    {
        SpikeMarker marker = default;
        marker.Offer(At(0, 100));
        marker.Offer(At(1, 400) with { Quality = SignalQuality.Uncertain(QualityReason.OverRange) });
        Assert.Equal(SpikeRule.Mark, marker.Offer(At(2, 100))!.Value.Quality);
    }

    [Fact]
    public void Of_two_readings_at_one_time_the_last_counts()
    {
        SpikeMarker marker = default;
        marker.Offer(At(0, 100));
        marker.Offer(At(1, 100));
        marker.Offer(At(1, 150));
        Assert.Equal(150, marker.Offer(At(2, 100))!.Value.Value);
    }

    [Fact]
    public void Engine_finds_the_same_spikes_as_whoever_only_converts() =>
        Gen.Select(Gen.Double[0.1, 1.8], Gen.Double[-12, 12], Gen.Int[0, 5]).Array[3, 60].Sample(steps =>
        {
            var engine = new CellEngine(Bench.Cell(products: 1, pressure: false));
            List<EngineEvent> events = [];
            List<Reading> expected = [];
            SpikeMarker marker = default;
            double seconds = 0;
            foreach ((double step, double value, int kind) in steps)
            {
                seconds += kind == 0 ? -0.05 : step;
                ScanInput scan = Bench.Scan(seconds, kind == 1 ? double.NaN : 100 + (2 * value));
                engine.Advance(scan, events);
                Reading converted = new(scan.Time, scan.Scan.Values[0], scan.Scan.Qualities[0]);
                if (marker.Offer(converted) is { } spike) expected.Add(spike);
            }

            Assert.Equal(expected, events.OfType<SpikeEvent>().Select(found => found.Reading));
        });

    [Fact]
    public void Spike_is_no_peak_and_breaks_no_limit()
    {
        var engine = new CellEngine(Bench.Cell());
        List<EngineEvent> events = [];
        engine.Advance(new SpecInput(Bench.Epoch, "A", Bench.Sac305(new ThermoWatch.Domain.Specs.Limit { Figure = "peakTemperature", Upper = 245 })), events);
        foreach (EngineInput input in Bench.Cycle())
        {
            bool isStruck = input.Time == Bench.Epoch.AddSeconds(300); // on the plateau at 240 °C
            EngineInput taken = isStruck ? Bench.Scan(300, 290, Bench.Board(300, 2) - 2, Bench.Chamber(300)) : input;
            engine.Advance(taken, events);
        }

        SpikeEvent spike = Assert.Single(events.OfType<SpikeEvent>());
        Assert.Equal(("tc1", 290.0, SpikeRule.Mark), (spike.ChannelId, spike.Reading.Value, spike.Reading.Quality));
        Assert.Equal((Bench.Epoch.AddSeconds(300), Bench.Epoch.AddSeconds(300.5)), (spike.Reading.Time, spike.Time));
        RunPicture run = Assert.Single(engine.Picture().Runs);
        Assert.InRange(run.Figures.Single(f => f.Figure == "peakTemperature" && f.ChannelId == "tc1").Value!.Value, 239, 241);
        Assert.Empty(events.OfType<AlarmEvent>());
    }

    private static Reading At(double seconds, double value) => new(Start.AddSeconds(seconds), value, SignalQuality.Good);
}
