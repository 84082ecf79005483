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

    [Theory]
    [InlineData(1000, 1, 3, 2, 1000, true)] // a glitch of the gauge's signal: no chamber empties and fills in a second
    [InlineData(1000, 1, 500, 2, 1000, false)] // exactly half
    [InlineData(1000, 1, 499.9, 2, 1000, true)]
    [InlineData(1000, 1, 499.9, 2, 1010, true)]
    [InlineData(1010, 1, 504, 2, 1000, false)] // less than half of one neighbour only
    [InlineData(5, 1, 900, 2, 6, true)]
    [InlineData(5, 1, 15.001, 2, 5, true)]
    [InlineData(5, 1, 15, 2, 5, false)] // 10 mbar: noise near the gauge's lower end
    [InlineData(8, 1, 0.1, 2, 8, false)]
    [InlineData(40, 1, 80.001, 2, 20, true)]
    [InlineData(40, 1, 80.001, 2, 19.9, false)] // neighbours further apart than twice: a real change
    [InlineData(1000, 1, 3, 3, 1000, true)]
    [InlineData(1000, 1, 3, 3.001, 1000, false)] // neighbours too far apart to know
    [InlineData(1000, 2, 3, 2, 1000, false)] // no order in time
    [InlineData(1000, 0, 3, 2, 1000, false)]
    public void Chamber_pressure_far_above_or_below_both_neighbours_is_a_spike(
        double before, double seconds, double value, double nextSeconds, double nextValue, bool isSpike)
    {
        Assert.Equal(isSpike, SpikeRule.IsPressureSpike(
            Start.UtcTicks, before, Start.AddSeconds(seconds).UtcTicks, value, Start.AddSeconds(nextSeconds).UtcTicks, nextValue));
    }

    [Fact]
    public void No_part_of_an_evacuation_or_a_vent_is_a_spike() =>
        Gen.Select(Gen.Double[0.05, 1.5], Gen.Double[0.2, 10], Gen.Double[0.05, 5], Gen.Double[0.5, 900]).Sample((period, emptying, filling, lowest) =>
        {
            // Falls towards the lowest and rises from it, each as fast as a chamber's volume and its pump or valve let it.
            double Chamber(double t) => t < 5 ? 1013
                : t < 45 ? lowest + ((1013 - lowest) * Math.Exp(-(t - 5) / emptying))
                : 1013 - ((1013 - lowest - ((1013 - lowest) * Math.Exp(-40 / emptying))) * Math.Exp(-(t - 45) / filling));
            var marker = new SpikeMarker(Bench.Channel("p", ChannelRole.Pressure, MeasuredUnit.Millibar, null));
            for (double t = 0; t < 80; t += period) Assert.Null(marker.Offer(At(t, Chamber(t))));
        });

    [Fact]
    public void Barometers_and_signals_have_no_spikes()
    {
        foreach (ChannelRole role in new[] { ChannelRole.Barometer, ChannelRole.Signal, ChannelRole.Motion })
        {
            var marker = new SpikeMarker(Bench.Channel("x", role, role == ChannelRole.Barometer ? MeasuredUnit.Millibar : MeasuredUnit.One, null));
            marker.Offer(At(0, 1000));
            marker.Offer(At(1, 3));
            Assert.Null(marker.Offer(At(2, 1000)));
        }
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
            CellDefinition cell = Bench.Cell(products: 1);
            var engine = new CellEngine(cell);
            List<EngineEvent> events = [];
            List<(string Channel, Reading Reading)> expected = [];
            SpikeMarker[] markers = [.. cell.Channels.Select(channel => new SpikeMarker(channel))];
            double seconds = 0;
            foreach ((double step, double value, int kind) in steps)
            {
                seconds += kind == 0 ? -0.05 : step;
                ScanInput scan = Bench.Scan(seconds, kind == 1 ? double.NaN : 100 + (2 * value), kind == 2 ? double.NaN : 100 * Math.Exp(value / 8));
                engine.Advance(scan, events);
                for (int i = 0; i < markers.Length; i++)
                {
                    Reading converted = new(scan.Time, scan.Scan.Values[i], scan.Scan.Qualities[i]);
                    if (markers[i].Offer(converted) is { } spike) expected.Add((cell.Channels[i].Id, spike));
                }
            }

            Assert.Equal(expected, events.OfType<SpikeEvent>().Select(found => (found.ChannelId, found.Reading)));
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

    [Fact]
    public void Spikes_of_the_gauge_begin_and_end_no_evacuation()
    {
        (IReadOnlyList<EngineEvent> clean, RunPicture expected) = Live(_ => null);
        Assert.Empty(clean.OfType<SpikeEvent>());
        // During the soak, at the beginning of the fall, while the vacuum is held, and after the vent.
        var struck = new Dictionary<double, double> { [200] = 3, [290] = 12, [307] = 1013, [309.5] = 200, [330] = 0.5 };
        (IReadOnlyList<EngineEvent> events, RunPicture run) = Live(t => struck.TryGetValue(t, out double value) ? value : null);
        Assert.Equal(
            struck.Select(one => ("p", Bench.Epoch.AddSeconds(one.Key), one.Value)),
            events.OfType<SpikeEvent>().Select(e => (e.ChannelId, e.Reading.Time, e.Reading.Value)));
        Assert.Equal(Values(expected), Values(run));
        Assert.Equal(expected.Notes, run.Notes);
        Assert.Equal(clean.OfType<AlarmEvent>().Select(e => e.ToString()), events.OfType<AlarmEvent>().Select(e => e.ToString()));

        static IEnumerable<string> Values(RunPicture run) => run.Figures.Select(f => FormattableString.Invariant($"{f.Figure}/{f.ChannelId}: {f.Value:0.######}"));
    }

    /// <summary>A run of two boards, its gauge struck at some moments.</summary>
    private static (IReadOnlyList<EngineEvent> Events, RunPicture Run) Live(Func<double, double?> struck)
    {
        var engine = new CellEngine(Bench.Cell());
        List<EngineEvent> events = [];
        engine.Advance(new SpecInput(Bench.Epoch, "A", Bench.Sac305()), events);
        for (double t = 0; t <= 480; t += 0.5)
        {
            engine.Advance(Bench.Scan(t, Bench.Board(t), Bench.Board(t, 2) - 2, struck(t) ?? Bench.Chamber(t)), events);
        }

        return (events, Assert.Single(engine.Picture().Runs));
    }

    private static Reading At(double seconds, double value) => new(Start.AddSeconds(seconds), value, SignalQuality.Good);
}
