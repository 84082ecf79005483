namespace ThermoWatch.Simulator.Faults;

/// <summary>One fault with its time.</summary>
/// <param name="Kind">What goes wrong.</param>
/// <param name="AtSeconds">From the start of the run's heating, s; negative: already while the boards wait; minus infinity: from the moment they are loaded.</param>
/// <param name="ForSeconds">How long it lasts, s; infinity: to the run's end.</param>
/// <param name="Amount">How bad, in the unit that <see cref="FaultKind"/> names.</param>
/// <param name="Channel">Thermocouple input concerned, 0..9; -1 where the fault has none.</param>
public sealed record PlannedFault(
    FaultKind Kind, double AtSeconds = double.NegativeInfinity, double ForSeconds = double.PositiveInfinity, double Amount = 0, int Channel = -1)
{
    /// <summary>Whether the fault acts at this time of the run, s.</summary>
    public bool IsActive(double runSeconds) =>
        runSeconds >= AtSeconds && (double.IsPositiveInfinity(ForSeconds) || runSeconds < AtSeconds + ForSeconds);
}
