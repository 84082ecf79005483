using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>reference/protocol/alarm_transitions.csv: ISA-18.2 / IEC 62682, every row, and every pair of state and signal.</summary>
public class AlarmStepsTests
{
    private static readonly Dictionary<string, AlarmState> s_states = new()
    {
        ["normal"] = AlarmState.Normal,
        ["unacknowledged"] = AlarmState.Unacknowledged,
        ["acknowledged"] = AlarmState.Acknowledged,
        ["rtn_unacknowledged"] = AlarmState.ReturnedUnacknowledged,
        ["latched_unacknowledged"] = AlarmState.LatchedUnacknowledged,
        ["latched_acknowledged"] = AlarmState.LatchedAcknowledged,
        ["shelved"] = AlarmState.Shelved,
        ["suppressed_by_design"] = AlarmState.SuppressedByDesign,
        ["out_of_service"] = AlarmState.OutOfService,
    };

    private static readonly Dictionary<string, AlarmSignal> s_signals = new()
    {
        ["condition_active_before_on_delay"] = AlarmSignal.ConditionBegins,
        ["condition_active_after_on_delay"] = AlarmSignal.ConditionActive,
        ["condition_clears_before_off_delay"] = AlarmSignal.ConditionWanes,
        ["condition_clears_after_off_delay[not_latching]"] = AlarmSignal.ConditionClears,
        ["condition_clears_after_off_delay[latching]"] = AlarmSignal.ConditionClearsLatching,
        ["input_quality_bad"] = AlarmSignal.InputBad,
        ["higher_limit_of_same_tag_active"] = AlarmSignal.HigherLimit,
        ["acknowledge"] = AlarmSignal.Acknowledge,
        ["reset"] = AlarmSignal.Reset,
        ["re_alarm_timer"] = AlarmSignal.ReAlarm,
        ["shelve(user,reason,until)"] = AlarmSignal.Shelve,
        ["unshelve_or_timeout[condition_active]"] = AlarmSignal.UnshelveActive,
        ["unshelve_or_timeout[condition_normal]"] = AlarmSignal.UnshelveNormal,
        ["one_shot_condition_clears"] = AlarmSignal.OneShotClears,
        ["suppress_by_design(logic)"] = AlarmSignal.Suppress,
        ["logic_releases[condition_active]"] = AlarmSignal.ReleaseActive,
        ["logic_releases[condition_normal]"] = AlarmSignal.ReleaseNormal,
        ["remove_from_service(user,reason)"] = AlarmSignal.RemoveFromService,
        ["return_to_service(user)[condition_active]"] = AlarmSignal.ReturnActive,
        ["return_to_service(user)[condition_normal]"] = AlarmSignal.ReturnNormal,
        ["service_restart"] = AlarmSignal.Restart,
    };

    public static TheoryData<string, string, string> Rows =>
        [.. ReferenceTable.Read("protocol/alarm_transitions.csv").Select(r => (r["state"], r["event"], r["next_state"]))];

    [Theory]
    [MemberData(nameof(Rows))]
    public void Every_row_of_the_table_holds(string state, string signal, string next) =>
        Assert.Equal(s_states[next], AlarmSteps.Next(s_states[state], s_signals[signal]));

    [Theory]
    [InlineData(AlarmState.Normal, "shelve, outOfService")]
    [InlineData(AlarmState.Unacknowledged, "acknowledge, shelve, outOfService")]
    [InlineData(AlarmState.Acknowledged, "shelve, outOfService")]
    [InlineData(AlarmState.ReturnedUnacknowledged, "acknowledge, shelve, outOfService")]
    [InlineData(AlarmState.LatchedUnacknowledged, "acknowledge, shelve, outOfService")]
    [InlineData(AlarmState.LatchedAcknowledged, "shelve, outOfService, reset")]
    [InlineData(AlarmState.Shelved, "unshelve, outOfService")]
    [InlineData(AlarmState.SuppressedByDesign, "")]
    [InlineData(AlarmState.OutOfService, "returnToService")]
    public void What_people_can_do_with_an_alarm_follows_from_its_state(AlarmState state, string orders) =>
        Assert.Equal(orders, string.Join(", ", AlarmOrders.TakenIn(state)));

    [Fact]
    public void A_pair_that_is_not_listed_changes_nothing()
    {
        Dictionary<(AlarmState, AlarmSignal), AlarmState> listed = ReferenceTable.Read("protocol/alarm_transitions.csv")
            .ToDictionary(r => (s_states[r["state"]], s_signals[r["event"]]), r => s_states[r["next_state"]]);

        // The table knows no latch under a shelf; a latched alarm stays latched through shelving.
        listed.Add((AlarmState.Shelved, AlarmSignal.UnshelveLatched), AlarmState.LatchedUnacknowledged);
        listed.Add((AlarmState.Shelved, AlarmSignal.UnshelveLatchedSeen), AlarmState.LatchedAcknowledged);

        AlarmSignal[] signals = Enum.GetValues<AlarmSignal>();
        AlarmState[] states = Enum.GetValues<AlarmState>();
        Assert.Equal((9, 23), (states.Length, signals.Length));
        foreach (AlarmState state in states)
        {
            foreach (AlarmSignal signal in signals)
            {
                Assert.Equal(listed.GetValueOrDefault((state, signal), state), AlarmSteps.Next(state, signal));
            }
        }
    }
}
