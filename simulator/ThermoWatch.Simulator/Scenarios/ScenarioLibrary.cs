using System.Collections.Frozen;
using System.Reflection;

namespace ThermoWatch.Simulator.Scenarios;

/// <summary>The scenarios that can be asked for by name: the JSON files beside this one, built into the program.</summary>
public static class ScenarioLibrary
{
    private const string Prefix = "scenario:";
    private const string Overshoot = "overshoot";

    private static readonly FrozenDictionary<string, Lazy<Scenario>> All = Assembly.GetExecutingAssembly().GetManifestResourceNames()
        .Where(n => n.StartsWith(Prefix, StringComparison.Ordinal))
        .ToFrozenDictionary(n => n[Prefix.Length..], n => new Lazy<Scenario>(() => Read(n)));

    /// <summary>Names of all scenarios, in order.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. All.Keys.Order(StringComparer.Ordinal)];

    /// <summary>The scenario of a name, or null.</summary>
    public static Scenario? Find(string name) => All.TryGetValue(name, out Lazy<Scenario>? scenario) ? scenario.Value : null;

    /// <summary>The scenario that the options ask for, or null if there is none of that name.</summary>
    public static Scenario? Find(SimulatorOptions options)
    {
        ArgumentNullException.ThrowIfNull(options);
        Scenario? scenario = Find(options.Scenario);
        return scenario?.Name == Overshoot
            ? scenario with { Runs = [.. scenario.Runs.Select(r => r with { From = options.OvershootRun })] }
            : scenario;
    }

    private static Scenario Read(string resource)
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream(resource)!;
        using var reader = new StreamReader(stream);
        (Scenario? scenario, IReadOnlyList<string> problems) = ScenarioFile.Parse(reader.ReadToEnd());
        return scenario ?? throw new InvalidDataException($"{resource}: {string.Join(' ', problems)}");
    }
}
