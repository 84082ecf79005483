using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The delivered program feeding a database, whatever happens to both.</summary>
public sealed partial class FeedTests
{
    private static readonly HttpClient Http = new();

    [Fact]
    public async Task What_arrives_is_what_was_recorded_in_order_although_the_service_is_killed_and_the_target_misbehaves()
    {
        await using LineSink sink = await LineSink.StartAsync(FreePorts.Next());
        sink.Chaos = 0.3;
        await using Node node = new();
        await node.StartMachineAsync("--speed", "2");
        var random = new Random(11);
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(Node.Historian(sink.Port)));
        for (int kill = 0; kill < 4; kill++)
        {
            await Task.Delay(random.Next(500, 2500));
            await node.Service!.KillAsync();
            await node.StartServiceAsync();
        }

        await Task.Delay(1500);
        await node.Machine!.InterruptAsync(); // nothing new comes: the feed can come to its end
        sink.Chaos = 0;
        await Until(node, feed => feed.GetProperty("backlogEntries").GetInt64() == 0);
        await node.Service!.InterruptAsync();

        Dictionary<string, List<(long TimeMs, string Value)>> recorded = await Recorded.ReadAsync(node);
        Assert.True(recorded["tc1"].Count > 50, $"{recorded["tc1"].Count} readings recorded");
        Assert.True(sink.Troubles > 5, $"{sink.Troubles} of {sink.Requests} requests went wrong");
        foreach ((string channel, List<(long TimeMs, string Value)> readings) in recorded)
        {
            int next = 0;
            foreach (ArrivedValue value in sink.Values.Where(v => v.Channel == channel))
            {
                int at = readings.FindIndex(r => r.TimeMs == value.TimeMs && r.Value == value.Value);
                Assert.True(at >= 0, $"{channel}: {value} was never recorded");
                Assert.True(at <= next, $"{channel}: reading {at} came before reading {next}");
                next = Math.Max(next, at + 1);
            }

            Assert.Equal(readings.Count, next); // none lost
        }
    }

    [Fact]
    public async Task A_late_feed_is_an_alarm_people_pause_and_fill_it_and_the_metrics_tell_of_it()
    {
        await using LineSink sink = await LineSink.StartAsync(FreePorts.Next());
        sink.Down = true;
        await using Node node = new();
        await node.StartMachineAsync();
        JsonObject feed = Node.Historian(sink.Port);
        feed["alarmAfter_s"] = 1.5;
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(feed));
        JsonElement late = await Until(node, f => f.GetProperty("lagSeconds").GetDouble() > 2);
        Assert.Equal(("waiting", "HTTP 503"), (late.GetProperty("state").GetString(), late.GetProperty("reason").GetString()));
        await UntilAsync(async () => (await Http.GetStringAsync($"http://localhost:{node.Port}/api/v1/cells/1/alarms/history")).Contains("\"alarmId\":\"feed/cell\"", StringComparison.Ordinal));

        sink.Down = false;
        await Until(node, f => f.GetProperty("backlogEntries").GetInt64() <= 2 && f.GetProperty("state").GetString() == "sending");
        await UntilAsync(async () => (await Http.GetStringAsync($"http://localhost:{node.Port}/api/v1/cells/1/alarms/history")).Contains("\"signal\":\"conditionClears\"", StringComparison.Ordinal));

        Assert.Equal("paused", (await Post(node, "pause", new { by = "A. Tester" })).GetProperty("state").GetString());
        int before = sink.Values.Count;
        await Until(node, f => f.GetProperty("backlogEntries").GetInt64() > 5);
        Assert.Equal(before, sink.Values.Count);
        await Post(node, "resume", new { by = "A. Tester" });
        await Until(node, f => f.GetProperty("backlogEntries").GetInt64() <= 2);

        string first = DateTimeOffset.FromUnixTimeMilliseconds(sink.Values[0].TimeMs).ToString("O", CultureInfo.InvariantCulture);
        await Post(node, "backfill", new { by = "A. Tester", from = first });
        await Until(node, f => f.GetProperty("backfills").GetArrayLength() == 0);
        Assert.Equal(2, sink.Values.Count(v => v.Channel == "tc1" && v.TimeMs == sink.Values[0].TimeMs));

        foreach ((object span, string words) in new (object, string)[]
        {
            (new { by = "A. Tester" }, "from: give the time"),
            (new { by = "A. Tester", from = "2100-01-01T00:00:00Z" }, "lies in the future"),
            (new { by = "A. Tester", from = first, to = "2020-01-01T00:00:00Z" }, "lies before from"),
        })
        {
            using HttpResponseMessage nothing = await Http.PostAsJsonAsync($"http://localhost:{node.Port}/api/v1/feeds/historian/backfill", span);
            Assert.Equal(400, (int)nothing.StatusCode);
            Assert.Contains(words, await nothing.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }

        using HttpResponseMessage nobody = await Http.PostAsJsonAsync($"http://localhost:{node.Port}/api/v1/feeds/historian/pause", new { });
        Assert.Equal(400, (int)nobody.StatusCode);
        using HttpResponseMessage unknown = await Http.PostAsJsonAsync($"http://localhost:{node.Port}/api/v1/feeds/other/pause", new { by = "x" });
        Assert.Equal(404, (int)unknown.StatusCode);

        string metrics = await Http.GetStringAsync($"http://localhost:{node.Port}/metrics");
        string[] wrong = [.. metrics.Split('\n', StringSplitOptions.RemoveEmptyEntries).Where(l => !MetricLine().IsMatch(l))];
        Assert.Empty(wrong);
        Assert.Matches("thermowatch_feed_confirmed_readings_total\\{feed=\"historian\",kind=\"influx\"\\} [1-9]", metrics);
        Assert.Matches("thermowatch_temperature_celsius\\{cell=\"1\",channel=\"tc1\",role=\"product\"\\} [0-9]", metrics);
    }

    private static async Task<JsonElement> Post(Node node, string what, object body)
    {
        using HttpResponseMessage answer = await Http.PostAsJsonAsync($"http://localhost:{node.Port}/api/v1/feeds/historian/{what}", body);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    private static async Task<JsonElement> Until(Node node, Func<JsonElement, bool> holds)
    {
        JsonElement feed = default;
        await UntilAsync(async () =>
        {
            feed = await Http.GetFromJsonAsync<JsonElement>($"http://localhost:{node.Port}/api/v1/feeds/historian");
            return holds(feed);
        });
        return feed;
    }

    private static async Task UntilAsync(Func<Task<bool>> holds)
    {
        var waited = Stopwatch.StartNew();
        while (!await holds())
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30), "It did not come within 30 s.");
            await Task.Delay(50);
        }
    }

    // Prometheus exposition formats, text format 0.0.4: comments, or name, labels and a number.
    [GeneratedRegex("""^(# (HELP|TYPE) [a-z_]+ .+|[a-z_]+(\{[a-z]+="([^"\\]|\\.)*"(,[a-z]+="([^"\\]|\\.)*")*\})? [-+0-9.eE]+)$""")]
    private static partial Regex MetricLine();
}
