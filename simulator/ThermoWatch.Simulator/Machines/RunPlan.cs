using System.Collections.Immutable;
using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Machines;

/// <summary>Everything that makes one run different from the next, decided before it starts.</summary>
internal sealed record RunPlan
{
    public required int Number { get; init; }

    public required Recipe Recipe { get; init; }

    /// <summary>Number of the recipe that the product asks for.</summary>
    public int AskedRecipe { get; init; }

    public string Product { get; init; } = "";

    public string? Story { get; init; }

    /// <summary>From the run before being unloaded to the start of heating, s, at least.</summary>
    public double LoadingSeconds { get; init; } = 30;

    /// <summary>From the run before being unloaded: no thermocouple is plugged in for so long, s.</summary>
    public double UnpluggedSeconds { get; init; }

    /// <summary>Boards on the carrier: 1, 2 or 4.</summary>
    public int Boards { get; init; } = 4;

    /// <summary>Whether thermocouples are on the boards; production runs carry none.</summary>
    public bool Instrumented { get; init; } = true;

    /// <summary>Temperature of the boards when loaded, degC.</summary>
    public double StartCelsius { get; init; } = 24.6;

    /// <summary>Pressure in the room, mbar.</summary>
    public double AmbientMbar { get; init; } = 1010;

    /// <summary>How the boiling point differs from a fresh fluid's, K (aged fluid, air in the vapour).</summary>
    public double FluidShift { get; init; }

    public ImmutableArray<PlannedFault> Faults { get; init; } = [];

    public Variation Variation { get; init; } = Variation.None;

    /// <summary>The run as a plant would know it.</summary>
    public RunLabel Label => new(Number, Product, AskedRecipe, Recipe.Number, RunLabel.SerialsOf(Product, Number, Boards), Instrumented, Story, Faults);
}

/// <summary>Small differences between runs that nobody ordered: factors near 1, and seconds or kelvin near 0.</summary>
internal sealed record Variation(double Mass, double VapourPower, double PumpSpeed, double CoolingShare, double DwellSeconds, double HoldSeconds, double SoakKelvin, double IdleSeconds)
{
    public static Variation None { get; } = new(1, 1, 1, 1, 0, 0, 0, 0);

    public static Variation Draw(Randomness random) => new(
        Mass: 1 + (0.008 * Clamped(random)),
        VapourPower: 1 + (0.010 * Clamped(random)),
        PumpSpeed: 1 + (0.015 * Clamped(random)),
        CoolingShare: 1 + (0.015 * Clamped(random)),
        DwellSeconds: 0.5 * Clamped(random),
        HoldSeconds: 0.2 * Clamped(random),
        SoakKelvin: 0.4 * Clamped(random),
        IdleSeconds: random.Between(0, 3));

    // Beyond two and a half spreads it would be a fault, and faults are planned.
    private static double Clamped(Randomness random) => Math.Clamp(random.Normal(), -2.5, 2.5);
}
