using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.EndToEnd.Tests.Support;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>Days that a floor knows, through sockets: the simulated machine, the service and whoever asks it are processes of their own.</summary>
/// <remarks>The machine works faster than a real one, so that a run takes half a minute: times are shorter by that, temperatures are not.</remarks>
public sealed class SituationTests
{
    private const double Speed = 12;

    [Fact]
    public async Task Carrier_that_comes_warm_after_the_first_was_unplugged_is_a_run_of_its_own()
    {
        await using Node node = await StartAsync("warm-second-carrier", _ => { });
        JsonElement[] runs = await node.EndedRunsAsync(2);
        Assert.Equal([1L, 2L], runs.Select(r => r.GetProperty("number").GetInt64()));
        Assert.All(runs, r => Assert.Equal("slope", Text(r, "startReason")));
        Assert.Contains("warmStart", Notes(runs[1]));
        Assert.DoesNotContain("warmStart", Notes(runs[0]));
        Assert.DoesNotContain(runs, r => Text(r, "endReason") == "abandoned");
        Assert.True(string.CompareOrdinal(Text(runs[1], "start"), Text(runs[0], "end")) >= 0);
    }

    [Fact]
    public async Task Production_without_a_sensor_on_a_board_is_found_by_the_machines_signal_and_compared_and_never_judged()
    {
        await using Node node = await StartAsync("two-hundred-production-runs", cell =>
        {
            JsonArray points = cell["devices"]![0]!["points"]!.AsArray(), channels = cell["channels"]!.AsArray();
            foreach ((string signal, string table, int address, string type) in new[] { ("running", "discrete", 0, "bit"), ("recipe", "input", 41, "uint16"), ("load", "input", 43, "uint16") })
            {
                points.Add(new JsonObject { ["id"] = signal, ["table"] = table, ["address"] = address, ["type"] = type });
                channels.Add(new JsonObject { ["id"] = signal, ["name"] = signal, ["role"] = "signal", ["signal"] = signal, ["device"] = "amplifier", ["point"] = signal, ["unit"] = "1" });
            }
        });
        JsonElement[] runs = await node.EndedRunsAsync(2);
        Assert.Equal([1L, 2L], runs.Select(r => r.GetProperty("number").GetInt64()));
        foreach (JsonElement run in runs)
        {
            Assert.Equal(("production", "signal", 4), (Text(run, "kind"), Text(run, "startReason"), run.GetProperty("load").GetInt32()));
            Assert.Equal(JsonValueKind.Null, run.GetProperty("verdict").ValueKind);
            using JsonDocument compared = await node.GetAsync($"/api/v1/cells/1/runs/{run.GetProperty("number").GetInt64()}/comparison");
            Assert.Equal("notComparable", Text(compared.RootElement, "result")); // nothing has been released yet
            using JsonDocument whole = await node.GetAsync($"/api/v1/cells/1/runs/{run.GetProperty("number").GetInt64()}");
            JsonElement[] figures = [.. whole.RootElement.GetProperty("figures").EnumerateArray()];
            Assert.Equal(1, figures.Single(f => Text(f, "figure") == "evacuations").GetProperty("value").GetDouble());
            Assert.DoesNotContain("\"pass\"", whole.RootElement.GetRawText(), StringComparison.OrdinalIgnoreCase);
        }
    }

    [Fact]
    public async Task Second_side_is_judged_by_its_own_alloy_and_the_first_stays_solid()
    {
        const string Spec = """
            { "name": "Control board, second side", "version": 1, "alloy": { "name": "Sn42Bi58", "solidus": 138, "liquidus": 138 },
              "channelAlloys": { "tc2": { "name": "SAC305", "solidus": 217, "liquidus": 220 } },
              "limits": [ { "figure": "timeAboveLiquidus", "lower": 1, "upper": 90, "channels": ["tc1", "tc3"] },
                          { "figure": "peakTemperature", "upper": 217, "channels": ["tc2"], "document": "first side" } ] }
            """;
        await using Node node = await StartAsync("tin-bismuth-second-side", cell => cell["spec"] = "second-side.spec.json", ("second-side.spec.json", Spec));
        JsonElement run = Assert.Single(await node.EndedRunsAsync(1));
        Assert.Equal(("pass", "Control board, second side"), (Text(run, "verdict"), Text(run.GetProperty("spec"), "name")));
        using JsonDocument whole = await node.GetAsync("/api/v1/cells/1/runs/1");
        JsonElement[] figures = [.. whole.RootElement.GetProperty("figures").EnumerateArray()];
        JsonElement Figure(string name, string channel) => figures.First(f => Text(f, "figure") == name && Text(f, "channel") == channel);
        Assert.InRange(Figure("peakTemperature", "tc2").GetProperty("value").GetDouble(), 150, 217);
        Assert.Equal(0, Figure("timeAboveLiquidus", "tc2").GetProperty("value").GetDouble());
        Assert.InRange(Figure("timeAboveLiquidus", "tc1").GetProperty("value").GetDouble() * Speed, 20, 150);
    }

    private static async Task<Node> StartAsync(string scenario, Action<JsonNode> change, params (string Name, string Text)[] files)
    {
        Node node = new();
        await node.StartMachineAsync("--scenario", scenario, "--speed", Speed.ToString(System.Globalization.CultureInfo.InvariantCulture));
        await node.StartServiceAsync(json => change(json["cells"]![0]!), files);
        return node;
    }

    private static string? Text(JsonElement json, string name) => json.GetProperty(name).GetString();

    private static string?[] Notes(JsonElement run) => [.. run.GetProperty("notes").EnumerateArray().Select(n => n.GetString())];
}
