namespace ThermoWatch.Domain.Alarms;

/// <summary>Where an alarm stands (ISA-18.2 / IEC 62682).</summary>
public enum AlarmState
{
    /// <summary>The condition does not hold, and nothing is left to see.</summary>
    Normal,

    /// <summary>The condition holds and nobody has seen it.</summary>
    Unacknowledged,

    /// <summary>The condition holds and somebody has seen it.</summary>
    Acknowledged,

    /// <summary>The condition no longer holds, but nobody has seen it yet.</summary>
    ReturnedUnacknowledged,
}
