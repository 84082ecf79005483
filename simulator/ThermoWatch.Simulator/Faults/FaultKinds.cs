namespace ThermoWatch.Simulator.Faults;

/// <summary>What the kinds of faults have in common.</summary>
public static class FaultKinds
{
    /// <summary>Whether the fault sits on one thermocouple input or one place.</summary>
    public static bool NeedsChannel(this FaultKind kind) => kind.NeedsPlace() || kind is >= FaultKind.OpenCircuit and <= FaultKind.Stuck;

    /// <summary>Whether the fault is one of a board, so that its channel must be one of the eight places.</summary>
    public static bool NeedsPlace(this FaultKind kind) => kind is FaultKind.Overshoot or FaultKind.ColdSpot;

    /// <summary>Whether a channel, or -1 for none, fits the fault.</summary>
    public static bool Takes(this FaultKind kind, int channel) => kind.NeedsChannel()
        ? channel >= 0 && channel < (kind.NeedsPlace() ? SimulatedChannels.ProductCount : SimulatedChannels.ThermocoupleCount)
        : channel < 0;
}
