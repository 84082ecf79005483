namespace ThermoWatch.Simulator;

/// <summary>Contacts that a machine closes for a carrier; the bits of its status register.</summary>
[Flags]
public enum MachineContacts
{
    /// <summary>None.</summary>
    None = 0,

    /// <summary>A run is active: from the start of heating to the unloading.</summary>
    RunActive = 1 << 0,

    /// <summary>A carrier is in the machine.</summary>
    CarrierPresent = 1 << 1,

    /// <summary>The carrier is in the vapour.</summary>
    InVapour = 1 << 2,

    /// <summary>The pump's valve is open on this carrier.</summary>
    PumpValveOpen = 1 << 3,

    /// <summary>The vent valve is open on this carrier.</summary>
    VentValveOpen = 1 << 4,

    /// <summary>The chamber's door is shut with this carrier behind it.</summary>
    ChamberClosed = 1 << 5,
}

/// <summary>Where a carrier stands; the number in its position register.</summary>
public enum CarrierPosition
{
    /// <summary>Outside, being unloaded and loaded.</summary>
    Loading,

    /// <summary>In the soak zone.</summary>
    Soak,

    /// <summary>In the vapour.</summary>
    Vapour,

    /// <summary>In vacuum, or being vented.</summary>
    Vacuum,

    /// <summary>Under the fans.</summary>
    Cooling,
}

/// <summary>What the machine's own controller tells of one carrier.</summary>
/// <param name="Contacts">The contacts that are closed.</param>
/// <param name="Recipe">Number of the recipe that is really running, or waits to be started.</param>
/// <param name="Run">Number of the run; the first is 1.</param>
/// <param name="Boards">Boards on the carrier.</param>
/// <param name="Position">Where it stands.</param>
public readonly record struct CarrierSignals(MachineContacts Contacts, int Recipe, int Run, int Boards, CarrierPosition Position);

/// <summary>What a cell has beside its amplifier and gauge, at one moment.</summary>
/// <param name="BarometerHpa">Pressure in the room as a barometer gives it, hPa.</param>
/// <param name="SecondTransportMillivolts">EMF of the process sensor on carrier B, type K against the same terminals, mV; NaN where there is one carrier.</param>
/// <param name="First">Signals of carrier A.</param>
/// <param name="Second">Signals of carrier B; null where there is one carrier.</param>
public sealed record MachineFrame(float BarometerHpa, float SecondTransportMillivolts, CarrierSignals First, CarrierSignals? Second);
