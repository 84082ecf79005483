using System.Collections.Frozen;
using static ThermoWatch.Domain.Alarms.AlarmSignal;
using static ThermoWatch.Domain.Alarms.AlarmState;

namespace ThermoWatch.Domain.Alarms;

/// <summary>What can happen to an alarm. Those that depend on how the condition stands have one signal for each case.</summary>
public enum AlarmSignal
{
    /// <summary>The condition began, but has not yet held for the whole on-delay.</summary>
    ConditionBegins,

    /// <summary>The condition has held for the whole on-delay.</summary>
    ConditionActive,

    /// <summary>The condition went past its deadband, but has not yet stayed there for the whole off-delay.</summary>
    ConditionWanes,

    /// <summary>The condition is gone, past its deadband and its off-delay; the alarm does not latch.</summary>
    ConditionClears,

    /// <summary>The condition is gone, past its deadband and its off-delay; the alarm latches.</summary>
    ConditionClearsLatching,

    /// <summary>What the condition is judged by can no longer be trusted.</summary>
    InputBad,

    /// <summary>A more severe limit of the same signal is broken: that is an alarm of its own.</summary>
    HigherLimit,

    /// <summary>Somebody has seen it.</summary>
    Acknowledge,

    /// <summary>Somebody lets a latched alarm go.</summary>
    Reset,

    /// <summary>It has been acknowledged for so long that it is told again.</summary>
    ReAlarm,

    /// <summary>Somebody puts it aside until a given time.</summary>
    Shelve,

    /// <summary>The shelf's time is over, or somebody ended it; the condition holds.</summary>
    UnshelveActive,

    /// <summary>The same; the condition does not hold.</summary>
    UnshelveNormal,

    /// <summary>The same; the condition does not hold, but has left a latch that nobody has seen.</summary>
    UnshelveLatched,

    /// <summary>The same; the condition does not hold, but has left a latch that somebody has seen.</summary>
    UnshelveLatchedSeen,

    /// <summary>The condition for which it was put aside once is gone.</summary>
    OneShotClears,

    /// <summary>As the cell stands, the alarm means nothing.</summary>
    Suppress,

    /// <summary>It means something again; the condition holds.</summary>
    ReleaseActive,

    /// <summary>It means something again; the condition does not hold.</summary>
    ReleaseNormal,

    /// <summary>Somebody takes it out of service.</summary>
    RemoveFromService,

    /// <summary>Somebody brings it back; the condition holds.</summary>
    ReturnActive,

    /// <summary>Somebody brings it back; the condition does not hold.</summary>
    ReturnNormal,

    /// <summary>The service stopped and started.</summary>
    Restart,
}

/// <summary>The alarm state machine of ISA-18.2 / IEC 62682.</summary>
internal static class AlarmSteps
{
    private static readonly AlarmState[] s_told =
        [Normal, Unacknowledged, Acknowledged, ReturnedUnacknowledged, LatchedUnacknowledged, LatchedAcknowledged];

    /// <summary>Every step that changes state. A pair not listed leaves it as it is.</summary>
    internal static readonly FrozenDictionary<(AlarmState, AlarmSignal), AlarmState> Steps = new Dictionary<(AlarmState, AlarmSignal), AlarmState>
    {
        [(Normal, ConditionActive)] = Unacknowledged,
        [(Unacknowledged, Acknowledge)] = Acknowledged,
        [(Unacknowledged, ConditionClears)] = ReturnedUnacknowledged, // stays on screen until someone has seen it
        [(Unacknowledged, ConditionClearsLatching)] = LatchedUnacknowledged,
        [(Acknowledged, ConditionClears)] = Normal,
        [(Acknowledged, ConditionClearsLatching)] = LatchedAcknowledged,
        [(Acknowledged, ReAlarm)] = Unacknowledged,
        [(ReturnedUnacknowledged, Acknowledge)] = Normal,
        [(ReturnedUnacknowledged, ConditionActive)] = Unacknowledged,
        [(LatchedUnacknowledged, Acknowledge)] = LatchedAcknowledged,
        [(LatchedUnacknowledged, ConditionActive)] = Unacknowledged,
        [(LatchedAcknowledged, ConditionActive)] = Unacknowledged,
        [(LatchedAcknowledged, Reset)] = Normal,
        [(Shelved, UnshelveActive)] = Unacknowledged,
        [(Shelved, UnshelveNormal)] = Normal,
        [(Shelved, UnshelveLatched)] = LatchedUnacknowledged, // a latch is let go by a reset, never by a clock
        [(Shelved, UnshelveLatchedSeen)] = LatchedAcknowledged,
        [(Shelved, OneShotClears)] = Normal,
        [(Shelved, RemoveFromService)] = OutOfService,
        [(SuppressedByDesign, ReleaseActive)] = Unacknowledged,
        [(SuppressedByDesign, ReleaseNormal)] = Normal,
        [(OutOfService, ReturnActive)] = Unacknowledged,
        [(OutOfService, ReturnNormal)] = Normal,
    }
    .Concat(s_told.Select(state => KeyValuePair.Create((state, Shelve), Shelved)))
    .Concat(s_told.Select(state => KeyValuePair.Create((state, Suppress), SuppressedByDesign)))
    .Concat(s_told.Select(state => KeyValuePair.Create((state, RemoveFromService), OutOfService)))
    .ToFrozenDictionary();

    internal static AlarmState Next(AlarmState state, AlarmSignal signal) => Steps.GetValueOrDefault((state, signal), state);

    /// <summary>Whether an alarm in this state is told to people.</summary>
    internal static bool IsTold(AlarmState state) => state is not (Normal or Shelved or SuppressedByDesign or OutOfService);
}
