using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Alarms.AlarmState;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>Counts by hand, of the measures that ISA-18.2 and IEC 62682 ask for.</summary>
public class AlarmQualityTests
{
    private static readonly Timestamp s_from = SimulatedRuns.Epoch;

    private static AlarmEvent Step(double seconds, AlarmState state, AlarmSignal signal, string id = "a", AlarmPriority priority = AlarmPriority.Medium) =>
        new(s_from.AddSeconds(seconds), id, "limit", null, state, false, null, null, null) { Signal = signal, Priority = priority };

    private static AlarmEvent Told(double seconds, string id = "a", AlarmPriority priority = AlarmPriority.Medium) =>
        Step(seconds, Unacknowledged, AlarmSignal.ConditionActive, id, priority);

    private static AlarmEvent Over(double seconds, string id = "a") => Step(seconds, ReturnedUnacknowledged, AlarmSignal.ConditionClears, id);

    private static AlarmEvent Seen(double seconds, string id = "a") => Step(seconds, Acknowledged, AlarmSignal.Acknowledge, id);

    private static AlarmQuality Of(double hours, params AlarmEvent[] steps) => AlarmQuality.Of(steps.OrderBy(s => s.Time), s_from, s_from.AddSeconds(3600 * hours));

    [Fact]
    public void A_quiet_span_has_zeros_and_nothing_to_tell_of_people()
    {
        AlarmQuality quality = Of(8);
        Assert.Equal((0, 0, 0, 0, 0), (quality.Told, quality.PerTenMinutes, quality.MostInTenMinutes, quality.FloodShare, quality.TopTenShare));
        Assert.Null(quality.MedianSecondsToAcknowledge);
        Assert.Empty(quality.Chattering);
    }

    [Fact]
    public void Rate_counts_what_is_told_and_not_what_is_hidden()
    {
        AlarmQuality quality = Of(1,
            Told(0), Told(1000, "b"), Step(1100, Unacknowledged, AlarmSignal.ReAlarm, "b"),
            Step(1200, Shelved, AlarmSignal.ConditionActive, "c"), Step(1300, SuppressedByDesign, AlarmSignal.ConditionActive, "d"), Told(3700, "out"));
        Assert.Equal((3, 0.5), (quality.Told, quality.PerTenMinutes));
        Assert.Equal(2, quality.MostInTenMinutes);
    }

    [Fact]
    public void Any_ten_minutes_count_wherever_they_begin()
    {
        AlarmEvent[] steps = [.. Enumerable.Range(0, 12).Select(i => Told(550 + (i * 8), $"{i}"))]; // 550 to 638 s, across the ten-minute mark
        AlarmQuality quality = Of(1, steps);
        Assert.Equal(12, quality.MostInTenMinutes);
        Assert.Equal(0, quality.CrowdedPeriods); // seven before the mark, five after it
    }

    [Fact]
    public void Flood_begins_with_the_eleventh_and_ends_when_fewer_than_five_are_left()
    {
        AlarmEvent[] steps = [.. Enumerable.Range(0, 20).Select(i => Told(i * 10, $"{i}"))];
        // The eleventh comes at 100 s; the sixteenth leaves the window at 750 s, and four remain.
        Assert.Equal(650 / 3600.0, Of(1, steps).FloodShare, 9);
        Assert.Equal((1 / 6.0, 0), (Of(1, steps).CrowdedPeriods, Of(1, steps).CrowdedHours));
    }

    [Fact]
    public void Three_times_in_a_minute_is_chattering_and_soon_over_is_fleeting()
    {
        AlarmQuality quality = Of(1,
            Told(0), Over(5), Told(30), Over(35), Told(60), Over(65),
            Told(100, "b"), Over(161, "b"), Told(170, "b"), Seen(175, "b"), Told(500, "b"));
        Assert.Equal(["a"], quality.Chattering);
        Assert.Equal(3, quality.Fleeting);
    }

    [Fact]
    public void What_stands_for_more_than_a_day_is_stale_whether_seen_or_not()
    {
        AlarmQuality quality = Of(100,
            Told(0, "long"), Seen(10, "long"),
            Told(0, "broken"), Over(80_000, "broken"), Told(80_010, "broken"), Over(160_000, "broken"),
            Told(0, "past"), Over(90_000, "past"));
        Assert.Equal(["long", "past"], quality.Stale);
    }

    [Fact]
    public void Time_to_acknowledge_counts_from_the_first_telling()
    {
        AlarmQuality quality = Of(1,
            Told(0, "a"), Seen(10, "a"), Told(100, "b"), Over(110, "b"), Told(120, "b"), Seen(140, "b"), Told(200, "c"), Seen(500, "c"), Told(600, "d"));
        Assert.Equal((40, 300, 1), (quality.MedianSecondsToAcknowledge!.Value, quality.NinetyPercentSecondsToAcknowledge!.Value, quality.NeverAcknowledged));
    }

    [Fact]
    public void Most_frequent_and_priorities_add_up()
    {
        AlarmQuality quality = Of(1, Told(0, "a", AlarmPriority.High), Told(700, "a", AlarmPriority.High), Told(1400, "b", AlarmPriority.Low), Told(2100, "c"));
        Assert.Equal(new FrequentAlarm("a", 2, 0.5), quality.MostFrequent[0]);
        Assert.Equal((0.5, 0.25, 0.25), quality.Priorities);
        Assert.Equal(1, quality.TopTenShare);
    }
}
