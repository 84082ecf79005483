using System.Diagnostics;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.EndToEnd.Tests.Support;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The delivered program and a target that refuses some lines: it is an alarm, and people settle it by the API.</summary>
public sealed class QuarantineTests
{
    private static readonly HttpClient s_http = new();

    private static string Address(Node node, string path = "") => $"http://localhost:{node.Port}/api/v1/feeds/historian{path}";

    private static async Task<JsonElement> GetAsync(Node node, string path = "") => await s_http.GetFromJsonAsync<JsonElement>(Address(node, path));

    private static async Task<JsonElement> PostAsync(Node node, string path, object body, int status = 200)
    {
        using HttpResponseMessage answer = await s_http.PostAsJsonAsync(Address(node, path), body);
        Assert.True((int)answer.StatusCode == status, $"{(int)answer.StatusCode}: {await answer.Content.ReadAsStringAsync()}");
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    private static async Task UntilAsync(string what, Func<Task<bool>> holds)
    {
        var waited = Stopwatch.StartNew();
        while (!await holds())
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30), $"Not seen within 30 s: {what}");
            await Task.Delay(50);
        }
    }

    private static async Task<bool> HasStepAsync(Node node, string signal)
    {
        JsonElement history = await s_http.GetFromJsonAsync<JsonElement>($"http://localhost:{node.Port}/api/v1/cells/1/alarms/history");
        return history.GetProperty("steps").EnumerateArray().Any(s => s.GetProperty("alarmId").GetString() == "feedRejected/cell" && s.GetProperty("signal").GetString() == signal);
    }

    [Fact]
    public async Task Refused_lines_are_an_alarm_with_the_servers_words_and_people_read_keep_send_and_discard_them()
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.RefusesAsync(",channel=tc2,"); // somebody has made that field a whole number
        await using Node node = new();
        await node.StartMachineAsync();
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(Node.Historian(server.Port)));

        // What, where, since when, how many, in whose words.
        await UntilAsync("thirty lines", async () => (await GetAsync(node)).GetProperty("quarantine").GetProperty("lines").GetInt64() >= 30);
        await UntilAsync("the alarm", () => HasStepAsync(node, "conditionActive"));
        JsonElement quarantine = (await GetAsync(node)).GetProperty("quarantine");
        Assert.Equal(("field type conflict", true), (quarantine.GetProperty("words").GetString(), quarantine.GetProperty("isNew").GetBoolean()));
        await using (LiveClient viewer = await LiveClient.ConnectAsync(node.Port))
        {
            State state = await viewer.StateWhenAsync(s => s.Alarms.Any(a => a.Id == "feedRejected/cell"));
            Alarm alarm = state.Alarms.Single(a => a.Id == "feedRejected/cell");
            Assert.Equal("unacknowledged", alarm.State);
            Assert.StartsWith("Lines of feed historian are refused by the system that it goes to: ", alarm.What, StringComparison.Ordinal);
            Assert.EndsWith(" so far. It says “field type conflict”.", alarm.What, StringComparison.Ordinal);
            Assert.StartsWith("Zeilen der Weitergabe historian lehnt das empfangende System ab: bisher ", alarm.German!.What, StringComparison.Ordinal);
            Assert.EndsWith(". Es sagt dazu „field type conflict“.", alarm.German!.What, StringComparison.Ordinal);
        }

        // The server takes that field again: nothing more is refused, and what was stays.
        await server.RefusesAsync("no such text");
        await UntilAsync("nothing waits", async () => (await GetAsync(node)).GetProperty("backlogEntries").GetInt64() <= 2);
        List<JsonElement> lines = [];
        for (string? next = "?limit=7"; next is not null;)
        {
            JsonElement page = await GetAsync(node, "/quarantine" + next);
            lines.AddRange(page.GetProperty("lines").EnumerateArray());
            next = page.GetProperty("next") is { ValueKind: JsonValueKind.Number } after ? $"?limit=7&after={after}" : null;
        }

        Assert.Equal(lines.Count, (await GetAsync(node)).GetProperty("quarantine").GetProperty("lines").GetInt32());
        Assert.Equal(Enumerable.Range(1, lines.Count).Select(n => (long)n), lines.Select(l => l.GetProperty("number").GetInt64()));
        Assert.All(lines, l => Assert.Contains(",channel=tc2,", l.GetProperty("line").GetString(), StringComparison.Ordinal));
        Assert.Equal(lines[0].GetProperty("time").GetString(), (await GetAsync(node)).GetProperty("quarantine").GetProperty("since").GetString());
        string[] file = (await s_http.GetStringAsync(Address(node, "/quarantine/export"))).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(lines.Select(l => l.GetProperty("line").GetString()), file.Select(l => JsonDocument.Parse(l).RootElement.GetProperty("line").GetString()));

        // Nobody does anything without a name; lines that somebody has seen are no alarm any more, and stay.
        await PostAsync(node, "/quarantine/discard", new { }, 400);
        await PostAsync(node, "/quarantine/discard", new { by = "A. Tester", numbers = Array.Empty<long>() }, 400);
        await PostAsync(node, "/quarantine/acknowledge", new { by = "A. Tester" });
        await UntilAsync("the alarm's end", () => HasStepAsync(node, "conditionClears"));
        Assert.Equal(lines.Count, (await GetAsync(node)).GetProperty("quarantine").GetProperty("lines").GetInt32());

        // Two are thrown away, the others are sent again, and arrive as they were.
        await PostAsync(node, "/quarantine/discard", new { by = "A. Tester", numbers = (long[])[1, 2], reason = "test piece" });
        Assert.Equal(lines.Count - 2, (await GetAsync(node)).GetProperty("quarantine").GetProperty("lines").GetInt32());
        await PostAsync(node, "/quarantine/retry", new { by = "A. Tester" });
        await UntilAsync("an empty quarantine", async () => (await GetAsync(node)).GetProperty("quarantine").GetProperty("lines").GetInt64() == 0);
        HashSet<string> taken = [.. (await server.TakenAsync()).SelectMany(r => r.Body.Split('\n'))];
        Assert.All(lines.Skip(2), l => Assert.Contains(l.GetProperty("line").GetString()!, taken));
        Assert.All(lines.Take(2), l => Assert.DoesNotContain(l.GetProperty("line").GetString()!, taken));

        // Each of it stands in the trail.
        await node.Service!.InterruptAsync();
        string trail = await File.ReadAllTextAsync(Path.Combine(node.DataFolder, "chain.jsonl"), TestContext.Current.CancellationToken);
        Assert.All((string[])["feed.quarantine.seen", "feed.quarantine.discarded", "feed.quarantine.retried"], action => Assert.Contains(action, trail, StringComparison.Ordinal));
        Assert.Contains("2 lines, 1 to 2 test piece", trail, StringComparison.Ordinal);
    }
}
