namespace ThermoWatch.Domain.Alarms;

/// <summary>Where an alarm stands (ISA-18.2 / IEC 62682). The numbers stand in snapshots: never renumber, only append.</summary>
public enum AlarmState
{
    /// <summary>The condition does not hold, and nothing is left to see.</summary>
    Normal = 0,

    /// <summary>The condition holds and nobody has seen it.</summary>
    Unacknowledged = 1,

    /// <summary>The condition holds and somebody has seen it.</summary>
    Acknowledged = 2,

    /// <summary>The condition no longer holds, but nobody has seen it yet.</summary>
    ReturnedUnacknowledged = 3,

    /// <summary>The condition no longer holds; nobody has seen it, and it stays until somebody resets it.</summary>
    LatchedUnacknowledged = 4,

    /// <summary>The condition no longer holds; somebody has seen it, and it stays until somebody resets it.</summary>
    LatchedAcknowledged = 5,

    /// <summary>Put aside by a person until a given time, for a given reason. The condition is still followed and recorded.</summary>
    Shelved = 6,

    /// <summary>Not told, because it means nothing as the cell stands, such as a sensor of a device that is silent.</summary>
    SuppressedByDesign = 7,

    /// <summary>Taken out of service by a person, for maintenance, without an end.</summary>
    OutOfService = 8,
}

/// <summary>How soon somebody must act.</summary>
public enum AlarmPriority
{
    /// <summary>In this shift.</summary>
    Low = 0,

    /// <summary>Before the next run.</summary>
    Medium = 1,

    /// <summary>Now.</summary>
    High = 2,
}
