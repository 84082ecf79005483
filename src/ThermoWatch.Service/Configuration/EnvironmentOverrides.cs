using System.Globalization;
using System.Text.Json.Nodes;
using ThermoWatch.Acquisition;

namespace ThermoWatch.Service.Configuration;

/// <summary>
/// Puts environment variables over the file: <c>THERMOWATCH__cells__0__devices__0__host=10.0.0.7</c> replaces that one value.
/// </summary>
internal static class EnvironmentOverrides
{
    private const string Prefix = "THERMOWATCH__";

    public static void Apply(JsonNode root, IEnumerable<KeyValuePair<string, string>> environment, List<ConfigurationFault> faults)
    {
        foreach ((string name, string text) in environment.OrderBy(v => v.Key, StringComparer.Ordinal))
        {
            if (!name.StartsWith(Prefix, StringComparison.OrdinalIgnoreCase))
            {
                continue;
            }

            string[] path = name[Prefix.Length..].Split("__");
            JsonNode? parent = path[..^1].Aggregate((JsonNode?)root, Step);
            if (!Put(parent, path[^1], ValueOf(text)))
            {
                faults.Add(new ConfigurationFault(
                    name, "names a place that the configuration file does not have",
                    "Use the keys of the file joined by two underscores, lists by their index from 0."));
            }
        }
    }

    private static JsonNode? Step(JsonNode? node, string key) => node switch
    {
        JsonObject o => o[key],
        JsonArray a when int.TryParse(key, CultureInfo.InvariantCulture, out int i) && i >= 0 && i < a.Count => a[i],
        _ => null,
    };

    private static bool Put(JsonNode? parent, string key, JsonNode? value)
    {
        switch (parent)
        {
            case JsonObject o:
                o[key] = value;
                return true;
            case JsonArray a when int.TryParse(key, CultureInfo.InvariantCulture, out int i) && i >= 0 && i < a.Count:
                a[i] = value;
                return true;
            default:
                return false;
        }
    }

    private static JsonValue ValueOf(string text) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number) && double.IsFinite(number)
            ? JsonValue.Create(number)
            : text switch { "true" => JsonValue.Create(true), "false" => JsonValue.Create(false), _ => JsonValue.Create(text) };
}
