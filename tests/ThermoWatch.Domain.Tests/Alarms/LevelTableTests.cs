using CsCheck;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>The table passes over readings that say nothing. It must tell the same as rules that look at every reading.</summary>
public class LevelTableTests
{
    [Fact]
    public void It_tells_what_rules_that_look_at_every_reading_tell()
    {
        Gen<(double Value, double Seconds)[]> walk = Gen.Select(Gen.Double[-6, 6], Gen.OneOf(Gen.Const(0.2), Gen.Const(0.2), Gen.Double[0.1, 6])).Array[20, 200];
        Gen.Select(walk, Gen.Int[1, 40], Gen.Int[0, 3], Gen.Double[0, 3], Gen.Int[0, 1000]).Sample((steps, count, onSeconds, deadband, seed) =>
        {
            var track = new ChannelTrack(0, Bench.Channel("tc1", ChannelRole.Product, MeasuredUnit.DegreeCelsius, "A"), TimeSpan.TicksPerSecond / 5, TimeSpan.TicksPerSecond, 16);
            var random = new Random(seed);
            Level[] limits = [.. Enumerable.Range(0, count).Select(_ => new Level(240 + (random.NextDouble() * 10), random.Next(2) == 0, deadband))];
            Alarm[] mine = Make(limits.Length, onSeconds), slow = Make(limits.Length, onSeconds);
            var table = new LevelTable(1, mine.Select(a => (0, track, a)));
            List<EngineEvent> said = [], expected = [];
            for (int i = 0; i < limits.Length; i++)
            {
                table.Set(mine[i], limits[i], default, said);
            }

            double value = 245;
            long ticks = SimulatedRuns.Epoch.UtcTicks, last = long.MinValue / 2;
            foreach ((double change, double seconds) in steps)
            {
                value = Math.Clamp(value + change, 230, 260);
                ticks += (long)(seconds * TimeSpan.TicksPerSecond);
                table.Check(0, ticks, value, said);
                for (int i = 0; i < limits.Length; i++)
                {
                    if (ticks - last > track.GapTicks)
                    {
                        slow[i].Break();
                    }

                    double past = limits[i].Upper ? value - limits[i].Limit : limits[i].Limit - value;
                    slow[i].Follow(slow[i].Holds ? past >= -deadband : past > 0, new Timestamp(ticks), new Finding(value, limits[i].Limit), expected);
                }

                last = ticks;
            }

            Assert.Equal(expected.Order(s_order), said.Order(s_order));
            Assert.Equal(slow.Select(a => a.Worst), mine.Select(a => a.Worst));
        }, iter: 300);
    }

    private static readonly Comparer<EngineEvent> s_order = Comparer<EngineEvent>.Create((a, b) =>
        (a.Time.UtcTicks, ((AlarmEvent)a).AlarmId).CompareTo((b.Time.UtcTicks, ((AlarmEvent)b).AlarmId)));

    private static Alarm[] Make(int count, int onSeconds) => [.. Enumerable.Range(0, count).Select(i => new Alarm(
        "tooHot", $"{i:00}", "tc1", new AlarmBehaviour(AlarmPriority.High, onSeconds * TimeSpan.TicksPerSecond, 0, false, null)))];

    [Fact]
    public void A_value_that_is_not_known_moves_nothing()
    {
        var track = new ChannelTrack(0, Bench.Channel("tc1", ChannelRole.Product, MeasuredUnit.DegreeCelsius, "A"), 1, 1, 16);
        Alarm[] alarms = Make(7, 0);
        var table = new LevelTable(1, alarms.Select(a => (0, track, a)));
        List<EngineEvent> events = [];
        Array.ForEach(alarms, a => table.Set(a, new Level(245, true, 1), default, events));
        table.Check(0, 1, double.NaN, events);
        Assert.Empty(events);
        table.Check(0, 2, 250, events);
        Assert.Equal(7, events.Count);
        table.Check(0, 3, double.NaN, events);
        Assert.Equal(7, events.Count);
    }

    [Fact]
    public void A_lifted_limit_ends_its_condition_and_a_frozen_one_keeps_it()
    {
        var track = new ChannelTrack(0, Bench.Channel("tc1", ChannelRole.Product, MeasuredUnit.DegreeCelsius, "A"), 1, 1, 16);
        Alarm alarm = Make(1, 0)[0];
        var table = new LevelTable(1, [(0, track, alarm)]);
        List<EngineEvent> events = [];
        var level = new Level(245, true, 1);
        table.Set(alarm, level, default, events);
        table.Check(0, 1, 250, events);
        table.Set(alarm, level with { Frozen = true }, new Timestamp(2), events);
        table.Check(0, 3, 200, events);
        Assert.True(alarm.Holds);
        table.Set(alarm, null, new Timestamp(4), events);
        Assert.Equal(AlarmState.ReturnedUnacknowledged, alarm.State);
    }

    [Fact]
    public void Beyond_the_cap_it_is_another_condition()
    {
        var track = new ChannelTrack(0, Bench.Channel("p", ChannelRole.Pressure, MeasuredUnit.Millibar, null), TimeSpan.TicksPerSecond, 5 * TimeSpan.TicksPerSecond, 16);
        Alarm alarm = Make(1, 2)[0];
        var table = new LevelTable(1, [(0, track, alarm)]);
        List<EngineEvent> events = [];
        table.Set(alarm, new Level(7.5, true, 0.1) { Cap = 100 }, default, events);
        double[] vent = [5, 5, 60, 200, 500, 900];
        double[] leak = [5, 8, 9, 10, 11, 6, 5.9];
        long t = 0;
        Array.ForEach(vent, p => table.Check(0, t += TimeSpan.TicksPerSecond, p, events));
        Assert.Empty(events);
        Array.ForEach(leak, p => table.Check(0, t += TimeSpan.TicksPerSecond, p, events));
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged], events.OfType<AlarmEvent>().Select(e => e.State));
        Assert.Equal(10, events.OfType<AlarmEvent>().First().Value); // above 7.5 since two seconds
        Assert.Equal(5.9, events.OfType<AlarmEvent>().Last().Value); // 0.1 decade below 7.5 is 5.957
    }
}
