using System.Collections.Frozen;
using static ThermoWatch.Domain.Alarms.AlarmSignal;
using static ThermoWatch.Domain.Alarms.AlarmState;

namespace ThermoWatch.Domain.Alarms;

/// <summary>What can move an alarm.</summary>
internal enum AlarmSignal
{
    /// <summary>The condition has held for the whole on-delay.</summary>
    ConditionActive,

    /// <summary>The condition is gone, past its deadband.</summary>
    ConditionClears,

    /// <summary>Somebody has seen it.</summary>
    Acknowledge,
}

/// <summary>The alarm state machine of ISA-18.2 / IEC 62682, as far as it is built: neither latching nor shelving yet.</summary>
internal static class AlarmSteps
{
    /// <summary>Every step that changes state. A pair not listed leaves it as it is.</summary>
    internal static readonly FrozenDictionary<(AlarmState, AlarmSignal), AlarmState> Steps =
        new Dictionary<(AlarmState, AlarmSignal), AlarmState>
        {
            [(Normal, ConditionActive)] = Unacknowledged,
            [(Unacknowledged, Acknowledge)] = Acknowledged,
            [(Unacknowledged, ConditionClears)] = ReturnedUnacknowledged, // stays on screen until someone has seen it
            [(Acknowledged, ConditionClears)] = Normal,
            [(ReturnedUnacknowledged, Acknowledge)] = Normal,
            [(ReturnedUnacknowledged, ConditionActive)] = Unacknowledged,
        }.ToFrozenDictionary();

    internal static AlarmState Next(AlarmState state, AlarmSignal signal) => Steps.GetValueOrDefault((state, signal), state);
}
