using System.Text.Json;

namespace ThermoWatch.Domain.Specs;

/// <summary>Keys of a JSON object.</summary>
/// <param name="Needed">Must be there.</param>
/// <param name="Optional">May be there.</param>
internal sealed record SpecKeys(string[] Needed, string[] Optional);

/// <summary>Reads the fields of JSON objects and collects what is wrong with them. Null counts as not given.</summary>
internal sealed class JsonFields(List<SpecFault> faults)
{
    /// <summary>Whether it is an object; its keys are checked.</summary>
    public bool Is(JsonElement json, string path, SpecKeys keys)
    {
        if (!IsObject(json, path))
        {
            return false;
        }

        foreach (string needed in keys.Needed)
        {
            if (Field(json, needed) is null)
            {
                Fault($"{path}.{needed}", "is missing.", $"Add \"{needed}\".");
            }
        }

        string[] all = [.. keys.Needed, .. keys.Optional];
        foreach (JsonProperty property in json.EnumerateObject())
        {
            if (!all.Contains(property.Name))
            {
                Fault($"{path}.{property.Name}", "is not a key that can stand here.", $"Delete it, or use one of: {string.Join(", ", all)}.");
            }
        }

        return true;
    }

    public bool IsObject(JsonElement json, string path) => IsKind(json, path, JsonValueKind.Object, "an object in braces");

    public JsonElement? Field(JsonElement json, string key) =>
        json.TryGetProperty(key, out JsonElement value) && value.ValueKind != JsonValueKind.Null ? value : null;

    public string? Text(JsonElement json, string path, string key) => Field(json, key) is { } value ? AsText(value, $"{path}.{key}") : null;

    public string? AsText(JsonElement value, string path)
    {
        if (!IsKind(value, path, JsonValueKind.String, "a text in quotes"))
        {
            return null;
        }

        string text;
        try
        {
            text = value.GetString()!;
        }
        catch (InvalidOperationException)
        {
            // Half of a surrogate pair is valid JSON and no text.
            Fault(path, "is not valid Unicode.", "Write the text anew.");
            return null;
        }

        if (string.IsNullOrWhiteSpace(text))
        {
            Fault(path, "is empty.", "Write a text, or leave the key out if it may be left out.");
        }

        return text;
    }

    public double? Number(JsonElement json, string path, string key, double least, double most, bool whole = false)
    {
        path = $"{path}.{key}";
        if (Field(json, key) is not { } value || !IsKind(value, path, JsonValueKind.Number, "a number without quotes, with a decimal point"))
        {
            return null;
        }

        double number = value.GetDouble();
        if (!double.IsFinite(number) || number < least || number > most || (whole && number != Math.Floor(number)))
        {
            Fault(path, $"is {value.GetRawText()}.", Range(least, most, whole));
            return null;
        }

        return number;
    }

    public T? OneOf<T>(JsonElement json, string path, string key, Dictionary<string, T> values)
        where T : struct, Enum => Field(json, key) is { } value ? AsOneOf(value, $"{path}.{key}", values) : null;

    public string? OneOf(JsonElement json, string path, string key, Dictionary<string, string> values) =>
        Field(json, key) is { } value && Known(value, $"{path}.{key}", values) is { } name ? values[name] : null;

    public T? AsOneOf<T>(JsonElement value, string path, Dictionary<string, T> values)
        where T : struct, Enum => Known(value, path, values) is { } name ? values[name] : null;

    public IEnumerable<(JsonElement Json, string Path)> Items(JsonElement json, string path, string key)
    {
        path = $"{path}.{key}";
        return Field(json, key) is { } value && IsKind(value, path, JsonValueKind.Array, "a list in brackets")
            ? value.EnumerateArray().Select((item, i) => (item, $"{path}[{i}]"))
            : [];
    }

    private static string Range(double least, double most, bool whole)
    {
        string kind = whole ? "whole number" : "number";
        return (least, most) switch
        {
            (double.Epsilon, _) => $"Write a {kind} above zero.",
            (_, double.MaxValue or int.MaxValue) => FormattableString.Invariant($"Write a {kind} from {least} up."),
            _ => FormattableString.Invariant($"Write a {kind} from {least} to {most}."),
        };
    }

    private string? Known<T>(JsonElement value, string path, Dictionary<string, T> values)
    {
        if (AsText(value, path) is not { } text)
        {
            return null;
        }

        if (!values.ContainsKey(text))
        {
            Fault(path, $"is \"{text}\".", $"Use one of: {string.Join(", ", values.Keys)}.");
            return null;
        }

        return text;
    }

    private bool IsKind(JsonElement value, string path, JsonValueKind kind, string wanted)
    {
        if (value.ValueKind == kind)
        {
            return true;
        }

        Fault(path, $"is not {wanted}.", $"Write {wanted}.");
        return false;
    }

    private void Fault(string path, string problem, string remedy) => faults.Add(new SpecFault(path, $"{path} {problem}", remedy));
}
