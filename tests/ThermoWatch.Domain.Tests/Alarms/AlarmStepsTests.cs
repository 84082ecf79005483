using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>reference/protocol/alarm_transitions.csv: ISA-18.2 / IEC 62682, as far as states and events are built.</summary>
public class AlarmStepsTests
{
    private static readonly Dictionary<string, AlarmState> s_states = new()
    {
        ["normal"] = AlarmState.Normal,
        ["unacknowledged"] = AlarmState.Unacknowledged,
        ["acknowledged"] = AlarmState.Acknowledged,
        ["rtn_unacknowledged"] = AlarmState.ReturnedUnacknowledged,
    };

    private static readonly Dictionary<string, AlarmSignal> s_signals = new()
    {
        ["condition_active_after_on_delay"] = AlarmSignal.ConditionActive,
        ["condition_clears_after_off_delay[not_latching]"] = AlarmSignal.ConditionClears,
        ["acknowledge"] = AlarmSignal.Acknowledge,
    };

    [Fact]
    public void Every_pair_steps_as_the_standard_says()
    {
        var listed = ReferenceTable.Read("protocol/alarm_transitions.csv")
            .Where(r => s_states.ContainsKey(r["state"]) && s_signals.ContainsKey(r["event"]))
            .ToDictionary(r => (s_states[r["state"]], s_signals[r["event"]]), r => s_states[r["next_state"]]);
        Assert.Equal(7, listed.Count);

        int walked = 0;
        foreach (AlarmState state in Enum.GetValues<AlarmState>())
        {
            foreach (AlarmSignal signal in Enum.GetValues<AlarmSignal>())
            {
                // A pair that the table does not list changes nothing.
                Assert.Equal(listed.GetValueOrDefault((state, signal), state), AlarmSteps.Next(state, signal));
                walked++;
            }
        }

        Assert.Equal(12, walked);
    }
}
