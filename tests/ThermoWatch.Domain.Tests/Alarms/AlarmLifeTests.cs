using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Alarms.AlarmState;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>What an alarm does with its delays, its latch and its people; the steps themselves are the table's.</summary>
public class AlarmLifeTests
{
    private const string Id = "tooHot/tc1";
    private readonly List<EngineEvent> _events = [];
    private Alarm _alarm = Make();

    private static Timestamp At(double seconds) => SimulatedRuns.Epoch.AddSeconds(seconds);

    private static Alarm Make(bool latching = false, double on = 0, double off = 0, double? again = null) => new("tooHot", "tc1", "tc1", new AlarmBehaviour(
        AlarmPriority.High, TimeSpan.FromSeconds(on).Ticks, TimeSpan.FromSeconds(off).Ticks, latching, again is { } s ? TimeSpan.FromSeconds(s).Ticks : null));

    private void Follow(bool holds, double second, double value = 250) => _alarm.Follow(holds, At(second), new Finding(value, 245, Run: 3), _events);

    private void Obey(AlarmInput input) => _alarm.Obey(input, TimeSpan.FromHours(12), _events);

    private void Shelve(double second, double until, bool once = false) => Obey(new ShelveInput(At(second), Id, "Kim", "gauge replaced", At(until), once));

    private void Acknowledge(double second) => Obey(new AcknowledgeInput(At(second), Id, "Kim", "seen"));

    private AlarmState[] Entered => [.. _events.OfType<AlarmEvent>().Select(e => e.State)];

    [Fact]
    public void It_is_told_when_the_condition_has_held_for_the_whole_on_delay()
    {
        _alarm = Make(on: 2);
        Follow(true, 0);
        Follow(true, 1.9);
        Assert.Equal(Normal, _alarm.State);
        Follow(false, 2);
        Follow(true, 2.1);
        Follow(true, 4);
        Assert.Equal(Normal, _alarm.State); // the break at 2 s began the delay anew
        Follow(true, 4.1);
        Assert.Equal(Unacknowledged, _alarm.State);
    }

    [Fact]
    public void It_is_over_when_the_return_has_held_for_the_whole_off_delay()
    {
        _alarm = Make(off: 2);
        Follow(true, 0);
        Follow(false, 1);
        Follow(false, 2.9);
        Follow(true, 3);
        Follow(false, 3.1);
        Follow(false, 5);
        Assert.Equal(Unacknowledged, _alarm.State);
        Follow(false, 5.1);
        Assert.Equal(ReturnedUnacknowledged, _alarm.State);
    }

    [Fact]
    public void Unknown_input_freezes_the_state_and_begins_delays_anew()
    {
        _alarm = Make(on: 2);
        Follow(true, 0);
        _alarm.Break();
        Follow(true, 2);
        Assert.Equal(Normal, _alarm.State);
        Follow(true, 4);
        _alarm.Break();
        Assert.Equal(Unacknowledged, _alarm.State);
    }

    [Fact]
    public void Latched_stays_latched_through_shelving_whether_seen_or_not()
    {
        foreach (bool seen in (bool[])[false, true])
        {
            _alarm = Make(latching: true);
            Follow(true, 0);
            Follow(false, 1);
            if (seen)
            {
                Acknowledge(2);
            }

            Shelve(3, 60);
            _alarm.OnTime(At(59.9), _events);
            Assert.Equal(Shelved, _alarm.State);
            _alarm.OnTime(At(60), _events);
            Assert.Equal(seen ? LatchedAcknowledged : LatchedUnacknowledged, _alarm.State);
        }
    }

    [Fact]
    public void A_latch_that_forms_on_the_shelf_is_there_when_it_ends()
    {
        _alarm = Make(latching: true);
        Follow(true, 0);
        Acknowledge(0.5);
        Shelve(1, 60, once: true);
        Follow(false, 2); // the one shot is over, but a latch is let go by a reset only
        Assert.Equal(LatchedAcknowledged, _alarm.State);
        Obey(new ResetInput(At(3), Id, "Kim", "fluid changed"));
        Assert.Equal(Normal, _alarm.State);
    }

    [Fact]
    public void Reset_is_refused_until_the_latch_has_been_seen()
    {
        _alarm = Make(latching: true);
        Follow(true, 0);
        Obey(new ResetInput(At(1), Id, "Kim", ""));
        Follow(false, 2);
        Obey(new ResetInput(At(3), Id, "Kim", ""));
        Assert.Equal(LatchedUnacknowledged, _alarm.State);
        Acknowledge(4);
        Obey(new ResetInput(At(5), Id, "Kim", ""));
        Assert.Equal(Normal, _alarm.State);
    }

    [Fact]
    public void What_happens_on_the_shelf_is_recorded_and_not_told()
    {
        Shelve(0, 100);
        Follow(true, 10);
        Follow(false, 20);
        Follow(true, 30);
        Assert.Equal([Shelved, Shelved, Shelved, Shelved], Entered);
        Assert.Equal(
            [AlarmSignal.Shelve, AlarmSignal.ConditionActive, AlarmSignal.ConditionClears, AlarmSignal.ConditionActive],
            _events.OfType<AlarmEvent>().Select(e => e.Signal));
        Assert.Equal(("Kim", "gauge replaced", At(100)), _events.OfType<AlarmEvent>().Select(e => (e.By, e.Comment, e.Until!.Value)).First());
        _alarm.OnTime(At(100), _events);
        Assert.Equal(Unacknowledged, _alarm.State);
        Assert.Equal(At(30), _alarm.Since);
    }

    [Fact]
    public void Shelving_needs_a_name_a_reason_and_an_end_that_lies_ahead_and_not_too_far()
    {
        Follow(true, 0);
        Obey(new ShelveInput(At(1), Id, "", "why", At(60)));
        Obey(new ShelveInput(At(1), Id, "Kim", "", At(60)));
        Obey(new ShelveInput(At(1), Id, "Kim", "why", At(1)));
        Assert.Equal(Unacknowledged, _alarm.State);
        Obey(new ShelveInput(At(1), Id, "Kim", "why", At(1e6)));
        Assert.Equal(At(1 + (12 * 3600)), _alarm.ToPicture().Until);
        Shelve(2, 10); // shelved already: changes nothing
        Assert.Equal(At(1 + (12 * 3600)), _alarm.ToPicture().Until);
    }

    [Fact]
    public void A_shelf_can_be_ended_by_hand_and_one_shot_by_the_condition()
    {
        Follow(true, 0);
        Shelve(1, 60);
        Obey(new UnshelveInput(At(2), Id, "Lee"));
        Assert.Equal(Unacknowledged, _alarm.State);
        Shelve(3, 60, once: true);
        Follow(false, 4);
        Assert.Equal(Normal, _alarm.State);
    }

    [Fact]
    public void Out_of_service_has_no_end_and_comes_back_as_the_condition_stands()
    {
        Obey(new OutOfServiceInput(At(0), Id, "Kim", "", Out: true));
        Assert.Equal(Normal, _alarm.State);
        Obey(new OutOfServiceInput(At(0), Id, "Kim", "sensor in the workshop", Out: true));
        Follow(true, 10);
        _alarm.OnTime(At(1e7), _events);
        Assert.Equal(OutOfService, _alarm.State);
        Obey(new OutOfServiceInput(At(1e7), Id, "Kim", "new sensor", Out: false));
        Assert.Equal(Unacknowledged, _alarm.State);
    }

    [Fact]
    public void Suppressed_alarm_comes_back_when_the_logic_lets_it()
    {
        _alarm.Suppress(true, At(0), _events);
        Follow(true, 1);
        Acknowledge(2);
        Assert.Equal(SuppressedByDesign, _alarm.State);
        _alarm.Suppress(false, At(3), _events);
        Assert.Equal(Unacknowledged, _alarm.State);
    }

    [Fact]
    public void Acknowledged_alarm_is_told_again_after_its_time()
    {
        _alarm = Make(again: 600);
        Follow(true, 0);
        Acknowledge(10);
        _alarm.OnTime(At(609), _events);
        Assert.Equal(Acknowledged, _alarm.State);
        _alarm.OnTime(At(610), _events);
        Assert.Equal(Unacknowledged, _alarm.State);
        Assert.False(_alarm.Seen);
    }

    [Fact]
    public void Everything_survives_a_restart_and_the_shelf_goes_on_by_the_clock()
    {
        _alarm = Make(latching: true, on: 1);
        Follow(true, 0);
        Follow(true, 1, 251);
        Follow(true, 2, 255);
        Shelve(3, 60);
        Follow(false, 4, 240);

        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        _alarm.Save(writer);
        writer.Flush();
        stream.Position = 0;
        using var reader = new BinaryReader(stream);
        Alarm restored = Make(latching: true, on: 1);
        restored.Load(reader);
        Assert.Equal(stream.Length, stream.Position);
        Assert.Equal(_alarm.ToPicture(), restored.ToPicture());
        Assert.Equal((Shelved, 255.0, "gauge replaced"), (restored.State, restored.Worst!.Value, restored.ToPicture().Comment));
        restored.OnTime(At(60), _events);
        Assert.Equal(LatchedUnacknowledged, restored.State);
    }

    [Fact]
    public void An_order_that_the_state_does_not_allow_leaves_no_trace()
    {
        Acknowledge(0);
        Obey(new UnshelveInput(At(0), Id, "Kim"));
        Obey(new ResetInput(At(0), Id, "Kim", ""));
        Obey(new OutOfServiceInput(At(0), Id, "Kim", "back", Out: false));
        Assert.Empty(_events);
        Assert.Equal("", _alarm.ToPicture().By);
    }
}
