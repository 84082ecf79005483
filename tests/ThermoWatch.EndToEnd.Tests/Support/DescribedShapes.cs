using System.Text.Json;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>Holds answers against the schemas of an OpenAPI 3.1 document, to their last key: types, nulls, keys that are there and keys that are not.</summary>
internal sealed class DescribedShapes(JsonElement description)
{
    /// <summary>What an answer has otherwise than its schema says.</summary>
    public IEnumerable<string> Differences(JsonElement schema, JsonElement value, string at)
    {
        if (schema.TryGetProperty("$ref", out JsonElement reference))
        {
            string name = reference.GetString()!;
            return Differences(description.GetProperty("components").GetProperty("schemas").GetProperty(name[(name.LastIndexOf('/') + 1)..]), value, at);
        }

        if (schema.TryGetProperty("oneOf", out JsonElement choices) || schema.TryGetProperty("anyOf", out choices))
        {
            string[][] each = [.. choices.EnumerateArray().Select(choice => Differences(choice, value, at).ToArray())];
            return each.Any(found => found.Length == 0) ? [] : each[^1];
        }

        string[] types = schema.TryGetProperty("type", out JsonElement type)
            ? type.ValueKind == JsonValueKind.Array ? [.. type.EnumerateArray().Select(t => t.GetString()!)] : [type.GetString()!]
            : [];
        if (types.Length > 0 && !types.Any(t => Is(t, value)))
        {
            return [$"{at}: {value.ValueKind}, described as {string.Join(" or ", types)}"];
        }

        return value.ValueKind switch
        {
            JsonValueKind.Array when schema.TryGetProperty("items", out JsonElement items) => value.EnumerateArray().Take(50).SelectMany((item, i) => Differences(items, item, $"{at}[{i}]")),
            JsonValueKind.Object => OfKeys(schema, value, at),
            _ => [],
        };
    }

    private IEnumerable<string> OfKeys(JsonElement schema, JsonElement value, string at)
    {
        if (!schema.TryGetProperty("properties", out JsonElement properties))
        {
            return schema.TryGetProperty("additionalProperties", out JsonElement any) && any.ValueKind == JsonValueKind.Object
                ? value.EnumerateObject().SelectMany(p => Differences(any, p.Value, $"{at}.{p.Name}"))
                : [];
        }

        IEnumerable<string> unknown = value.EnumerateObject().Where(p => !properties.TryGetProperty(p.Name, out _)).Select(p => $"{at}.{p.Name} is not described");
        return properties.EnumerateObject().SelectMany(p => value.TryGetProperty(p.Name, out JsonElement found) ? Differences(p.Value, found, $"{at}.{p.Name}") : [$"{at}.{p.Name} is missing"])
            .Concat(unknown);
    }

    private static bool Is(string type, JsonElement value) => type switch
    {
        "null" => value.ValueKind == JsonValueKind.Null,
        "boolean" => value.ValueKind is JsonValueKind.True or JsonValueKind.False,
        "integer" => value.ValueKind == JsonValueKind.Number && value.TryGetInt64(out _),
        "number" => value.ValueKind == JsonValueKind.Number,
        "string" => value.ValueKind == JsonValueKind.String,
        "array" => value.ValueKind == JsonValueKind.Array,
        "object" => value.ValueKind == JsonValueKind.Object,
        _ => false,
    };
}
