using System.Collections.Immutable;

namespace ThermoWatch.Simulator.Machines;

/// <summary>One stage of an evacuation: down to a pressure, then a wait there.</summary>
/// <param name="TargetMbar">Pressure at which the stage is reached, mbar.</param>
/// <param name="HoldSeconds">Wait after that, s.</param>
public sealed record VacuumStage(double TargetMbar, double HoldSeconds);

/// <summary>What the machine is told to do.</summary>
public sealed record Recipe
{
    /// <summary>Number under which the machine knows it.</summary>
    public int Number { get; init; } = 12;

    /// <summary>Boiling point of the fluid at 1013.25 hPa, degC.</summary>
    public double FluidCelsius { get; init; } = 230;

    /// <summary>Set-point of the soak, degC.</summary>
    public double SoakCelsius { get; init; } = 164;

    /// <summary>Slope of the set-point on the way there, K/s.</summary>
    public double SoakRampKelvinPerSecond { get; init; } = 1.66;

    /// <summary>From the start of heating to the vapour, s.</summary>
    public double SoakSeconds { get; init; } = 163;

    /// <summary>From the vapour standing at its plateau to the next step, s.</summary>
    public double PlateauSeconds { get; init; } = 30;

    /// <summary>Stages of the evacuation over molten solder; empty: no vacuum.</summary>
    public ImmutableArray<VacuumStage> Vacuum { get; init; } = [new(5, 15)];

    /// <summary>A shallow evacuation during the soak, or null; it is vented at once after its hold.</summary>
    public VacuumStage? PreVacuum { get; init; }

    /// <summary>Board temperature at which the pre-vacuum starts, degC.</summary>
    public double PreVacuumAtCelsius { get; init; } = 140;

    /// <summary>Pressure of the vent gas above the room's, mbar.</summary>
    public double VentOvershootMbar { get; init; }

    /// <summary>All places colder than this: unloaded, degC.</summary>
    public double UnloadCelsius { get; init; } = 46;
}
