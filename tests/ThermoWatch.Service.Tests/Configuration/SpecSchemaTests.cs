using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Configuration;

/// <summary>The published schema of spec files, held against the specs we ship and against the reader.</summary>
public sealed class SpecSchemaTests
{
    private const string Whole = """
        { "$schema": "spec.schema.json", "name": "Gate driver, lead-free", "version": 1,
          "alloy": { "name": "SAC305", "solidus": 217.0, "liquidus": 220.0 },
          "channelAlloys": { "tc4": "Sn42Bi58", "tc5": { "name": "Sn63Pb37" } },
          "fluid": { "name": "240", "boilingPoint": 240.0, "at_hPa": 1013.25, "evaporation_kJ_mol": 60 },
          "soak": { "from": 150.0, "to": 180.0 },
          "vacuum": { "target": 20.0, "unit": "mbar", "steps": [ { "purpose": "void", "target": 20.0 }, { "purpose": "preheat", "target": null } ] },
          "classification": null, "slopeWindow": 5, "uncertainty": "simple",
          "measurement": { "class": 1, "extension": 1, "coldJunction_K": 0.5, "instrument_K": 0.5, "resolution_K": 0.1, "attachment_K": null, "gauge_mbar": 0.1, "gauge_share": 0.005 },
          "componentCeilings": [ { "process": "Pb-free", "thickness_mm": 1.2, "volume_mm3": 300, "revision": "D", "channels": ["tc4"] } ],
          "limits": [
            { "figure": "sustainedPeak", "lower": 232, "places": ["joint"], "document": "paste sheet rev 4" },
            { "figure": "timeAboveLiquidus", "lower": 40, "upper": 90, "level": 217, "channels": ["tc1"], "uncertainty": "guarded" },
            { "figure": "pumpDownTime", "upper": 15, "severity": "warn" } ] }
        """;

    private static readonly string s_folder = Path.Combine(Repository.Root, "src", "ThermoWatch.Service");
    private static readonly JsonNode s_text = JsonNode.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Configuration", "spec.schema.json")))!;
    private static readonly JsonSchema s_schema = JsonSchema.FromText(s_text.ToJsonString());

    private static bool Fits(JsonNode json) => s_schema.Evaluate(JsonSerializer.SerializeToElement(json)).IsValid;

    private static SpecParse Read(JsonNode json) => SpecFile.Parse(Encoding.UTF8.GetBytes(json.ToJsonString()));

    [Fact]
    public void Specs_that_we_ship_fit_and_are_read()
    {
        string[] shipped = [Whole, .. Directory.GetFiles(Path.Combine(s_folder, "Demo"), "*.spec.json").Select(File.ReadAllText)];
        Assert.True(shipped.Length >= 2);
        Assert.All(shipped, text =>
        {
            Assert.True(Fits(JsonNode.Parse(text)!));
            Assert.Empty(Read(JsonNode.Parse(text)!).Faults);
        });
    }

    [Fact]
    public void Figures_are_those_of_the_program() =>
        Assert.Equal(FigureCatalog.All.Select(f => f.Name), s_text["$defs"]!["limit"]!["properties"]!["figure"]!["enum"]!.AsArray().Select(n => n!.GetValue<string>()));

    /// <summary>Every value of the example in turn is dropped, or replaced by what may be wrong: schema and reader must agree.</summary>
    [Fact]
    public void Schema_and_reader_agree_on_every_change_of_form()
    {
        JsonNode?[] replacements =
        [
            null, true, "", " ", "word", "void", "Pa", 0, -1, 1.5, 3, 1e9, new JsonArray(), new JsonArray("joint"), new JsonArray(5), new JsonObject(),
            new JsonObject { ["name"] = "SAC305" }, new JsonObject { ["colour"] = 1 },
        ];
        List<string> differ = [];
        int compared = 0, refused = 0;
        foreach (string path in Paths(JsonNode.Parse(Whole)!).ToArray())
        {
            foreach (JsonNode? replacement in replacements)
            {
                JsonNode changed = JsonNode.Parse(Whole)!;
                Put(changed, path, replacement?.DeepClone(), drop: false);
                Compare(changed, path + " = " + (replacement?.ToJsonString() ?? "null"));
            }

            JsonNode dropped = JsonNode.Parse(Whole)!;
            Put(dropped, path, null, drop: true);
            Compare(dropped, path + " dropped");
            JsonNode more = JsonNode.Parse(Whole)!;
            if (Find(more, path) is JsonObject target)
            {
                target["colour"] = 1;
                Compare(more, path + ".colour");
            }
        }

        Assert.Empty(differ);
        Assert.True(compared > 500 && refused > 200, $"{compared} {refused}");

        void Compare(JsonNode json, string change)
        {
            SpecParse parse = Read(json);

            // Beyond form the reader knows alloys, and what contradicts itself; a schema cannot.
            bool form = !parse.Faults.Any(f => !IsBeyondForm(f));
            if (form != Fits(json))
            {
                differ.Add($"{change}: {string.Join(' ', parse.Faults.Select(f => f.Problem))}");
            }

            compared++;
            refused += form ? 0 : 1;
        }
    }

    private static bool IsBeyondForm(SpecFault fault) =>
        fault.Problem.Contains("no alloy of the library", StringComparison.Ordinal) || fault.Problem.EndsWith("dus is missing.", StringComparison.Ordinal)
        || (!fault.Problem.StartsWith('$') && !fault.Problem.StartsWith("There is no figure", StringComparison.Ordinal));

    private static IEnumerable<string> Paths(JsonNode node) => node switch
    {
        JsonObject json => json.SelectMany(p => new[] { p.Key }.Concat(p.Value is null ? [] : Paths(p.Value).Select(q => $"{p.Key}/{q}"))),
        JsonArray array => array.SelectMany((item, i) => new[] { $"{i}" }.Concat(item is null ? [] : Paths(item).Select(q => $"{i}/{q}"))),
        _ => [],
    };

    private static JsonNode? Find(JsonNode root, string path) =>
        path.Split('/').Aggregate((JsonNode?)root, (node, key) => node is JsonArray array ? array[int.Parse(key, System.Globalization.CultureInfo.InvariantCulture)] : node![key]);

    private static void Put(JsonNode root, string path, JsonNode? value, bool drop)
    {
        int cut = path.LastIndexOf('/');
        JsonNode parent = cut < 0 ? root : Find(root, path[..cut])!;
        string key = path[(cut + 1)..];
        if (parent is JsonArray array)
        {
            int at = int.Parse(key, System.Globalization.CultureInfo.InvariantCulture);
            array.RemoveAt(at);
            if (!drop)
            {
                array.Insert(at, value);
            }
        }
        else if (drop)
        {
            parent.AsObject().Remove(key);
        }
        else
        {
            parent[key] = value;
        }
    }
}
