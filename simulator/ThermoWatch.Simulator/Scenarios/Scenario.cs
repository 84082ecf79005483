using System.Collections.Immutable;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Instruments;
using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Scenarios;

/// <summary>What a machine does and what goes wrong, run by run.</summary>
public sealed record Scenario
{
    /// <summary>Name by which it is asked for.</summary>
    public required string Name { get; init; }

    /// <summary>What it shows, in a sentence or two.</summary>
    public string Description { get; init; } = "";

    /// <summary>Added to the seed that is asked for, so that two scenarios do not play the same noise.</summary>
    public int Seed { get; init; }

    /// <summary>Kind of machine.</summary>
    public MachineFamily Family { get; init; }

    /// <summary>Carriers in process at once, 1 or 2; two need stations in line. With two, carrier A has the odd runs and channels 1 to 4.</summary>
    public int Carriers { get; init; } = 1;

    /// <summary>Law of the chamber's gauge.</summary>
    public GaugeLaw Gauge { get; init; }

    /// <summary>Recipe of runs that name no other.</summary>
    public Recipe Recipe { get; init; } = new();

    /// <summary>Number of the recipe that the product asks for; null: that of the recipe above.</summary>
    public int? AskedRecipe { get; init; }

    /// <summary>Boards on the carrier, 1, 2 or 4, of runs that say nothing else.</summary>
    public int Boards { get; init; } = 4;

    /// <summary>Whether thermocouples are on the boards, in runs that say nothing else.</summary>
    public bool Instrumented { get; init; } = true;

    /// <summary>What is soldered, in runs that say nothing else.</summary>
    public string Product { get; init; } = "Traction board TB-6";

    /// <summary>Pressure in the room, mbar.</summary>
    public double AmbientMbar { get; init; } = 1010;

    /// <summary>Share of runs that get a fault at random, beside those planned, 0 to 1.</summary>
    public double FaultShare { get; init; }

    /// <summary>Stretches of runs that differ; where several hold a run, the later one counts, and faults add up.</summary>
    public ImmutableArray<RunStretch> Runs { get; init; } = [];
}

/// <summary>What differs in some runs.</summary>
/// <param name="From">First run, from 1.</param>
/// <param name="To">Last run; null: only the first; 0: for ever.</param>
public sealed record RunStretch(int From, int? To = null)
{
    /// <summary>What happens, for people.</summary>
    public string? Story { get; init; }

    /// <summary>Another recipe.</summary>
    public Recipe? Recipe { get; init; }

    /// <summary>Number of the recipe that the product asks for, whatever is running.</summary>
    public int? AskedRecipe { get; init; }

    /// <summary>What is soldered.</summary>
    public string? Product { get; init; }

    /// <summary>From the run before being unloaded to the start of heating, s, at least.</summary>
    public double? LoadingSeconds { get; init; }

    /// <summary>From the unloading of the run before, while no thermocouple is plugged in, s; part of the loading.</summary>
    public double? UnpluggedSeconds { get; init; }

    /// <summary>Heat capacity of the boards against the usual ones.</summary>
    public double? Mass { get; init; }

    /// <summary>Another load: 1, 2 or 4 boards.</summary>
    public int? Boards { get; init; }

    /// <summary>With or without thermocouples on the boards.</summary>
    public bool? Instrumented { get; init; }

    /// <summary>Temperature of the boards when loaded, degC.</summary>
    public double? StartCelsius { get; init; }

    /// <summary>Pressure in the room, mbar.</summary>
    public double? AmbientMbar { get; init; }

    /// <summary>How the fluid's boiling point differs from a fresh one's, K.</summary>
    public double? FluidShift { get; init; }

    /// <summary>What goes wrong.</summary>
    public ImmutableArray<PlannedFault> Faults { get; init; } = [];

    /// <summary>Whether a run lies in the stretch.</summary>
    public bool Holds(int run) => run >= From && (To == 0 || run <= (To ?? From));
}
