using System.Collections.Immutable;
using System.Globalization;
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
    /// <summary>Serial numbers of a run's boards. A carrier holds four at most, so that a serial says which run it was in.</summary>
    public static ImmutableArray<string> SerialsOf(string product, int run, int boards)
    {
        ArgumentNullException.ThrowIfNull(product);
        string code = product.Split(' ')[^1];
        return [.. Enumerable.Range((4 * (run - 1)) + 1, boards).Select(n => string.Create(CultureInfo.InvariantCulture, $"{code}-{n:00000}"))];
    }

    /// <summary>Boards on the carrier.</summary>
    public int Boards => Serials.Length;
}
