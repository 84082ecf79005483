using System.Text.Json.Nodes;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Demo;

namespace ThermoWatch.Service.Tests.Rejudging;

/// <summary>The record of a simulated machine at work, as the service makes it: raw registers, noise, evacuations, two carriers.</summary>
internal static class SimulatedRecord
{
    public static readonly Timestamp Born = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    /// <summary>The demo's spec of the traction board, asking for no recipe: tests that need one name it.</summary>
    public static string SpecText { get; } = WithoutProduct(Text("traction-board.spec.json"));

    /// <summary>Lives through some runs and leaves their record in a folder.</summary>
    public static async Task MakeAsync(string path, int runs, string scenario = "normal")
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(path, Configuration(), runs, scenario);
    }

    /// <summary>The demo's configuration with one spec and no signal wired, changed: tests wire the signals that they speak of.</summary>
    /// <param name="change">Changes it; null: as it is.</param>
    /// <param name="file">Text of a file that it names; null for the demo's own.</param>
    public static NodeConfiguration Configuration(Action<JsonNode>? change = null, Func<string, string?>? file = null)
    {
        JsonNode json = JsonNode.Parse(Text("thermowatch.json"))!;
        JsonNode cell = json["cells"]![0]!;
        cell.AsObject().Remove("specs");
        string[] signals = [.. cell["channels"]!.AsArray().Where(c => (string?)c!["role"] == "signal").Select(c => (string)c!["point"]!)];
        cell["channels"]!.AsArray().RemoveAll(c => (string?)c!["role"] == "signal");
        cell["devices"]![0]!["points"]!.AsArray().RemoveAll(p => signals.Contains((string?)p!["id"]));
        change?.Invoke(json);
        ConfigurationResult result = ConfigurationReader.Read(json.ToJsonString(), [], name => System.Text.Encoding.UTF8.GetBytes(file?.Invoke(name) ?? (name == "traction-board.spec.json" ? SpecText : Text(name))));
        return result.Node ?? throw new InvalidOperationException(string.Join(' ', result.Faults));
    }

    /// <summary>The demo's machine as it stands in production: no thermocouple on the product, recipe and load read from the controller.</summary>
    public static void StripProductSensors(JsonNode json, params (string Signal, string Point)[] more)
    {
        JsonArray channels = json["cells"]![0]!["channels"]!.AsArray();
        foreach (JsonNode channel in channels.Where(c => c!["role"]!.GetValue<string>() == "product").ToArray()!)
        {
            channels.Remove(channel);
        }

        Wire(json, ("recipe", """{ "id": "recipe", "table": "input", "address": 41, "type": "uint16" }"""));
        Wire(json, ("load", """{ "id": "load", "table": "input", "address": 43, "type": "uint16" }"""));
        Wire(json, more);
    }

    /// <summary>Reads signals from the machine's controller.</summary>
    /// <param name="json">The demo's configuration.</param>
    /// <param name="signals">What each means, which is its id too, and where it stands.</param>
    public static void Wire(JsonNode json, params (string Signal, string Point)[] signals)
    {
        JsonNode cell = json["cells"]![0]!;
        foreach ((string signal, string point) in signals)
        {
            cell["devices"]![0]!["points"]!.AsArray().Add(JsonNode.Parse(point));
            cell["channels"]!.AsArray().Add(new JsonObject
            {
                ["id"] = signal,
                ["name"] = signal,
                ["role"] = "signal",
                ["signal"] = signal,
                ["device"] = "amplifier",
                ["point"] = signal,
                ["unit"] = "1",
            });
        }
    }

    private static string WithoutProduct(string text)
    {
        JsonObject spec = JsonNode.Parse(text)!.AsObject();
        foreach (string key in (string[])["product", "recipe", "codes"])
        {
            spec.Remove(key);
        }

        return spec.ToJsonString();
    }

    private static string Text(string name)
    {
        using Stream stream = typeof(DemoNode).Assembly.GetManifestResourceStream("ThermoWatch.Service.Demo." + name)!;
        return new StreamReader(stream).ReadToEnd();
    }
}
