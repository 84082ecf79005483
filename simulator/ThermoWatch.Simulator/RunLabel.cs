using System.Collections.Immutable;
using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator;

/// <summary>What a run is, as a plant would know it, and what it has wrong, as nobody there would.</summary>
/// <param name="Number">The first run is 1.</param>
/// <param name="Product">What is soldered.</param>
/// <param name="AskedRecipe">Number of the recipe that the product asks for.</param>
/// <param name="RecipeNumber">Number of the recipe that the machine really runs.</param>
/// <param name="Serials">Serial numbers of the boards on the carrier.</param>
/// <param name="Instrumented">Whether thermocouples are on the boards.</param>
/// <param name="Story">What happens, for people; null in a plain run.</param>
/// <param name="Faults">What goes wrong, with times.</param>
public sealed record RunLabel(
    int Number, string Product, int AskedRecipe, int RecipeNumber, ImmutableArray<string> Serials, bool Instrumented, string? Story, ImmutableArray<PlannedFault> Faults)
{
    /// <summary>Boards on the carrier.</summary>
    public int Boards => Serials.Length;
}
