using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>
/// The delivered program feeding programs that we did not write, and killed at random while it does: what they have is what was
/// recorded. THERMOWATCH_KILLS says how often; a build kills three times.
/// </summary>
public sealed class KilledFeedTests
{
    private static readonly HttpClient s_http = new();
    private static readonly int s_kills = int.Parse(Environment.GetEnvironmentVariable("THERMOWATCH_KILLS") ?? "3", CultureInfo.InvariantCulture);

    private static JsonObject Feed(string id, string kind, params (string Key, JsonNode Value)[] more)
    {
        var feed = new JsonObject { ["id"] = id, ["kind"] = kind, ["longestWait_s"] = 1, ["fromBeginning"] = true };
        foreach ((string key, JsonNode value) in more)
        {
            feed[key] = value;
        }

        return feed;
    }

    [Fact]
    public async Task Two_databases_and_a_broker_have_what_was_recorded_although_the_service_and_one_of_them_are_killed()
    {
        (int influxPort, int influxRpc, int victoriaPort, int brokerPort) = (FreePorts.Next(), FreePorts.Next(), FreePorts.Next(), FreePorts.Next());
        using Peer influx = await Databases.InfluxAsync(influxPort, influxRpc);
        await Databases.CreateAsync(influxPort, "plant");
        using Peer victoria = await Databases.VictoriaAsync(victoriaPort);
        using Peer broker = await Peer.StartAsync("mosquitto", "mosquitto", brokerPort, home =>
        {
            string file = Path.Combine(home, "mosquitto.conf");
            File.WriteAllText(file, $"user root\nlistener {brokerPort} 127.0.0.1\nallow_anonymous true\nmax_queued_messages 0\n");
            return ["-c", file];
        });
        await using Subscriber subscriber = await Subscriber.StartAsync(brokerPort);

        await using Node node = new();
        await node.StartMachineAsync("--speed", "2");
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(
            Feed("influx", "influx", ("url", $"http://127.0.0.1:{influxPort}"), ("version", 1), ("bucket", "plant")),
            Feed("victoria", "influx", ("url", $"http://127.0.0.1:{victoriaPort}"), ("bucket", "plant")),
            Feed("broker", "mqtt", ("host", "127.0.0.1"), ("port", brokerPort), ("topic", "plant"))));
        var random = new Random(29);
        Peer? again = null;
        try
        {
            for (int kill = 0; kill < s_kills; kill++)
            {
                await Task.Delay(random.Next(300, 2500), TestContext.Current.CancellationToken);
                await node.Service!.KillAsync();
                if (kill == 1)
                {
                    influx.Kill(); // while the service comes back, one of those that it feeds is away
                }

                await node.StartServiceAsync();
                if (kill == 1)
                {
                    await Task.Delay(1000, TestContext.Current.CancellationToken);
                    again = await Databases.InfluxAsync(influxPort, influxRpc, influx.Folder);
                }
            }

            await Task.Delay(1500, TestContext.Current.CancellationToken);
            await node.Machine!.InterruptAsync(); // nothing new comes: the feeds can come to their end
            await SentAsync(node);
            await node.Service!.InterruptAsync();

            Dictionary<string, List<(long TimeMs, string Value)>> recorded = await Recorded.ReadAsync(node);
            Assert.True(recorded["tc1"].Count > 50, $"{recorded["tc1"].Count} readings recorded");
            string[] boards = [.. recorded.Keys.Where(channel => channel.StartsWith("tc", StringComparison.Ordinal) && recorded[channel].Count > 0)];
            Assert.Equal(8, boards.Length);
            Dictionary<string, (long Time, double Value)[]> exported = await Databases.ReadVictoriaAsync(victoriaPort, "temperature_value");
            for (int attempt = 0; attempt < 50 && boards.Any(b => !exported.TryGetValue(b, out var found) || found.DistinctBy(p => p.Time).Count() < recorded[b].DistinctBy(r => r.TimeMs).Count()); attempt++)
            {
                await Task.Delay(200, TestContext.Current.CancellationToken); // what it has taken it shows a moment later
                exported = await Databases.ReadVictoriaAsync(victoriaPort, "temperature_value");
            }

            foreach (string channel in boards)
            {
                (long, double)[] wanted = [.. recorded[channel].Select(r => (r.TimeMs, double.Parse(r.Value, CultureInfo.InvariantCulture)))];
                AssertSame(wanted, await Databases.ReadInfluxAsync(influxPort, "plant", "ms", channel), "InfluxDB, " + channel);
                // It keeps what comes twice twice; the same time must not have two values. It stores numbers as decimal ones: about 15 digits.
                (long Time, double Value)[] kept = [.. exported[channel].Distinct()];
                AssertSame(wanted, kept, "VictoriaMetrics, " + channel);
                AssertHeard(wanted, [.. subscriber.Scans.Where(s => s.Values.ContainsKey(channel)).Select(s => (s.TimeMs, s.Values[channel]))], channel);
            }
        }
        finally
        {
            again?.Kill();
        }
    }

    /// <summary>Every moment is there with a value that was recorded for it. On a busy computer two scans may fall into one millisecond: that is one point.</summary>
    private static void AssertSame((long Time, double Value)[] wanted, (long Time, double Value)[] kept, string where)
    {
        ILookup<long, double> recorded = wanted.ToLookup(w => w.Time, w => w.Value), there = kept.ToLookup(k => k.Time, k => k.Value);
        long[] missing = [.. recorded.Select(w => w.Key).Except(there.Select(k => k.Key))], strange = [.. there.Select(k => k.Key).Except(recorded.Select(w => w.Key))];
        Assert.True(
            missing.Length == 0 && strange.Length == 0,
            $"{where}: {wanted.Length} recorded ({wanted[0].Time} to {wanted[^1].Time}), {kept.Length} there; missing {string.Join(' ', missing.Take(9))}; never recorded {string.Join(' ', strange.Take(9))}");
        Assert.All(kept, point => Assert.Contains(recorded[point.Time], value => Math.Abs(value - point.Value) < 1e-9));
    }

    /// <summary>A broker tells everything in its order; after a kill it tells some of it again.</summary>
    private static void AssertHeard((long Time, double Value)[] wanted, (long Time, double Value)[] heard, string channel)
    {
        Dictionary<(long, double), int> places = wanted.Distinct().Select((reading, i) => (reading, i)).ToDictionary(x => x.reading, x => x.i);
        int next = 0;
        foreach ((long, double) reading in heard)
        {
            Assert.True(places.TryGetValue(reading, out int at), $"{channel}: {reading} was never recorded");
            Assert.True(at <= next, $"{channel}: reading {at} was told before reading {next}");
            next = Math.Max(next, at + 1);
        }

        Assert.Equal(places.Count, next); // none lost
    }

    private static async Task SentAsync(Node node)
    {
        var waited = Stopwatch.StartNew();
        while (true)
        {
            JsonElement feeds = (await s_http.GetFromJsonAsync<JsonElement>($"http://localhost:{node.Port}/api/v1/feeds")).GetProperty("feeds");
            if (feeds.EnumerateArray().All(feed => feed.GetProperty("backlogEntries").GetInt64() == 0))
            {
                return;
            }

            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(40), feeds.GetRawText());
            await Task.Delay(100);
        }
    }
}
