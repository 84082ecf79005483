namespace ThermoWatch.Domain.Specs;

/// <summary>The specs of a cell's products, found by what is known of a run.</summary>
/// <param name="specs">All of them; of one name the newest version counts.</param>
public sealed class SpecChoice(IEnumerable<Spec> specs)
{
    private readonly Spec[] _specs = [.. specs.GroupBy(s => s.Name).Select(g => g.MaxBy(s => s.Version)!)];

    /// <summary>Whether there is anything to choose from.</summary>
    public bool IsEmpty => _specs.Length == 0;

    /// <summary>Products that can be named.</summary>
    public IEnumerable<string> Products => _specs.Select(s => s.Product ?? s.Name);

    /// <summary>The only spec that asks for a recipe; null if none does, or several do.</summary>
    public Spec? ByRecipe(int recipe) => Only(_specs.Where(s => s.Recipe == recipe));

    /// <summary>The spec of a product, or of that name; null if there is none.</summary>
    public Spec? ByProduct(string product) =>
        Only(_specs.Where(s => s.Product == product)) ?? Array.Find(_specs, s => s.Name == product);

    /// <summary>The spec of that name; null if there is none.</summary>
    public Spec? ByName(string name) => Array.Find(_specs, s => s.Name == name);

    /// <summary>The spec whose code a scanned one begins with, the longest that fits; null if none does.</summary>
    public Spec? ByCode(string scanned)
    {
        ArgumentNullException.ThrowIfNull(scanned);
        return _specs.SelectMany(s => s.Codes.Select(code => (Spec: s, Code: code)))
            .Where(c => c.Code.Length > 0 && scanned.StartsWith(c.Code, StringComparison.Ordinal))
            .OrderByDescending(c => c.Code.Length).Select(c => c.Spec).FirstOrDefault();
    }

    private static Spec? Only(IEnumerable<Spec> found) => found.Take(2).ToArray() is [var one] ? one : null;
}
