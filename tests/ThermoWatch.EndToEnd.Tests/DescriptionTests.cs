using System.Net;
using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>What /openapi/v1.json says of the API of a node with feeds, held against what the node does.</summary>
public sealed class DescriptionTests
{
    private static readonly string[] s_methods = ["get", "post", "put", "patch", "delete"];

    [Fact]
    public async Task Every_operation_is_described_and_every_get_answers_in_its_shape_or_with_a_problem()
    {
        await using LineSink sink = await LineSink.StartAsync(FreePorts.Next());
        await using Node node = new();
        await node.StartMachineAsync();
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(Node.Historian(sink.Port)));
        using HttpClient http = new() { BaseAddress = new Uri($"http://localhost:{node.Port}") };
        using JsonDocument description = JsonDocument.Parse(await http.GetStringAsync("/openapi/v1.json", TestContext.Current.CancellationToken));
        var shapes = new DescribedShapes(description.RootElement);
        List<string> wrong = [];
        int operations = 0, answers = 0;
        foreach (JsonProperty path in description.RootElement.GetProperty("paths").EnumerateObject().Where(p => p.Name.StartsWith("/api/", StringComparison.Ordinal)))
        {
            foreach (JsonProperty operation in path.Value.EnumerateObject().Where(o => s_methods.Contains(o.Name)))
            {
                operations++;
                wrong.AddRange(Described(path.Name, operation));
            }

            if (path.Value.TryGetProperty("get", out JsonElement get))
            {
                answers++;
                wrong.AddRange(await AnsweredAsync(http, path.Name, get, shapes));
            }
        }

        Assert.Empty(wrong);
        Assert.True(operations > 40 && answers > 25, $"{operations} operations, {answers} of them answered");
    }

    /// <summary>A summary, a shape, and the problems that a path or a body can bring.</summary>
    private static IEnumerable<string> Described(string path, JsonProperty operation)
    {
        string name = $"{operation.Name.ToUpperInvariant()} {path}";
        if (!operation.Value.TryGetProperty("summary", out JsonElement summary) || summary.GetString() is not { Length: > 10 })
        {
            yield return $"{name}: no summary";
        }

        JsonElement responses = operation.Value.GetProperty("responses");
        if (!responses.EnumerateObject().Any(r => r.Name.StartsWith('2')))
        {
            yield return $"{name}: no answer is described";
        }

        // A serial that nobody has seen has passed nowhere: that is an answer.
        if (path.Contains('{') && !path.Contains("{serial}", StringComparison.Ordinal) && !responses.TryGetProperty("404", out _))
        {
            yield return $"{name}: what is not there is not described";
        }

        foreach (JsonProperty response in responses.EnumerateObject().Where(r => r.Name[0] is '4' or '5'))
        {
            if (!response.Value.TryGetProperty("content", out JsonElement content) || !content.TryGetProperty("application/problem+json", out _))
            {
                yield return $"{name}: {response.Name} is no problem";
            }
        }

        if (operation.Name == "get" && responses.TryGetProperty("200", out JsonElement found) && IsPage(found, operation.Value, out bool takesLimit) && !takesLimit)
        {
            yield return $"{name}: it comes in pages, and takes no limit";
        }
    }

    private static bool IsPage(JsonElement response, JsonElement operation, out bool takesLimit)
    {
        takesLimit = operation.TryGetProperty("parameters", out JsonElement parameters) && parameters.EnumerateArray().Any(p => p.GetProperty("name").GetString() == "limit");
        return operation.TryGetProperty("summary", out JsonElement summary) && summary.GetString()!.Contains("`next`", StringComparison.Ordinal) && response.ValueKind == JsonValueKind.Object;
    }

    private static async Task<IEnumerable<string>> AnsweredAsync(HttpClient http, string path, JsonElement get, DescribedShapes shapes)
    {
        string address = path.Replace("{cell}", "1", StringComparison.Ordinal).Replace("/feeds/{id}", "/feeds/historian", StringComparison.Ordinal)
            .Replace("{number}", "1", StringComparison.Ordinal).Replace("{id}", "1", StringComparison.Ordinal).Replace("{serial}", "A1", StringComparison.Ordinal).Replace("{channel}", "tc1", StringComparison.Ordinal);
        // What is asked for here must be said.
        address += path.EndsWith("/component-ceilings", StringComparison.Ordinal) ? "?process=Pb-free&thickness_mm=2&volume_mm3=300"
            : path.EndsWith("/alarms/quality", StringComparison.Ordinal) ? "?cell=1" : "";
        using HttpResponseMessage answer = await http.GetAsync(address);
        string status = ((int)answer.StatusCode).ToString(System.Globalization.CultureInfo.InvariantCulture);
        if (!get.GetProperty("responses").TryGetProperty(status, out JsonElement described))
        {
            return [$"{address}: answers {status}, which is not described"];
        }

        string type = answer.Content.Headers.ContentType?.MediaType ?? "";
        if (!described.TryGetProperty("content", out JsonElement content) || !content.TryGetProperty(type, out JsonElement body))
        {
            return [$"{address}: {status} comes as {type}, which is not described"];
        }

        if (answer.StatusCode != HttpStatusCode.OK || type != "application/json")
        {
            return [];
        }

        using JsonDocument json = JsonDocument.Parse(await answer.Content.ReadAsStringAsync());
        return [.. shapes.Differences(body.GetProperty("schema"), json.RootElement, address)];
    }
}
