using System.Text.Json;

namespace ThermoWatch.Service.Cells;

/// <summary>What somebody or a code said of a run that had not begun yet, as the audit trail keeps it.</summary>
/// <param name="Spec">Name of the product's spec.</param>
/// <param name="Version">Its version then.</param>
/// <param name="FromRun">The carrier's first run with this number or a higher one is meant.</param>
/// <param name="By">Who or what said it.</param>
internal sealed record ProductOfNext(string Spec, int Version, long FromRun, string By)
{
    /// <summary>What the audit trail says beside the name.</summary>
    public string ToJson() => JsonSerializer.Serialize(new Said(Spec, Version, FromRun), JsonSerializerOptions.Web);

    /// <summary>Reads it back; null if it is none.</summary>
    public static ProductOfNext? Read(string json, string by)
    {
        try
        {
            return JsonSerializer.Deserialize<Said>(json, JsonSerializerOptions.Web) is { Spec: { } spec } said ? new ProductOfNext(spec, said.Version, said.FromRun, by) : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private sealed record Said(string Spec, int Version, long FromRun);
}
