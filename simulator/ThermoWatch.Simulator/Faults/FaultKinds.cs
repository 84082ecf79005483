namespace ThermoWatch.Simulator.Faults;

/// <summary>What the kinds of faults have in common.</summary>
public static class FaultKinds
{
    /// <summary>Whether the fault sits on one thermocouple input or one place.</summary>
    public static bool NeedsChannel(this FaultKind kind) => kind is FaultKind.Overshoot or (>= FaultKind.OpenCircuit and <= FaultKind.Stuck);
}
