namespace ThermoWatch.Simulator;

/// <summary>What the machine's programme is doing. The machine's own view: the figures of a run are not cut by it.</summary>
public enum MachinePhase
{
    /// <summary>Cold boards are in, nothing heats.</summary>
    Idle,

    /// <summary>Hot air drives the boards to the soak set-point and holds them there.</summary>
    Soak,

    /// <summary>Vapour condenses on the boards.</summary>
    Vapour,

    /// <summary>The pump draws the chamber down to the target.</summary>
    Evacuation,

    /// <summary>The pump holds the vacuum.</summary>
    Hold,

    /// <summary>Gas flows back in.</summary>
    Vent,

    /// <summary>Fans cool the boards until they may be unloaded.</summary>
    Cooling,
}
