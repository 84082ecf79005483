using System.Text.Json;

namespace ThermoWatch.Tests.Servers;

/// <summary>Databases that we did not write, and their own ways of reading back.</summary>
internal static class Databases
{
    private static readonly HttpClient s_http = new();

    /// <summary>VictoriaMetrics with its defaults, but for the address and for how long it keeps.</summary>
    public static Task<Peer> VictoriaAsync(int port) => Peer.StartAsync("victoria-metrics", "victoria-metrics", port, home =>
        [$"-storageDataPath={home}", $"-httpListenAddr=127.0.0.1:{port}", "-retentionPeriod=100y"]);

    /// <summary>InfluxDB of the first generation, as the distribution has it.</summary>
    public static Task<Peer> InfluxAsync(int port, int rpc, string? folder = null) => Peer.StartAsync("influxd", "influxdb", port, home =>
    {
        string file = Path.Combine(home, "influxdb.conf");
        File.WriteAllText(file, $"""
            bind-address = "127.0.0.1:{rpc}"
            reporting-disabled = true
            [meta]
              dir = "{home}/meta"
            [data]
              dir = "{home}/data"
              wal-dir = "{home}/wal"
            [http]
              bind-address = "127.0.0.1:{port}"
              log-enabled = false
            """);
        return ["-config", file];
    }, folder);

    /// <summary>Makes a database of InfluxDB.</summary>
    public static async Task CreateAsync(int port, string database)
    {
        using HttpResponseMessage answer = await s_http.PostAsync(
            $"http://127.0.0.1:{port}/query", new FormUrlEncodedContent([new("q", "CREATE DATABASE " + database)]), TestContext.Current.CancellationToken);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
    }

    /// <summary>Temperatures of a channel in InfluxDB: time in the epoch's unit, and value.</summary>
    public static async Task<(long Time, double Value)[]> ReadInfluxAsync(int port, string database, string epoch, string channel)
    {
        string answer = await s_http.GetStringAsync(
            $"http://127.0.0.1:{port}/query?db={database}&epoch={epoch}&q=" + Uri.EscapeDataString($"SELECT value FROM temperature WHERE channel='{channel}'"), TestContext.Current.CancellationToken);
        using var json = JsonDocument.Parse(answer);
        return [.. json.RootElement.GetProperty("results")[0].GetProperty("series")[0].GetProperty("values").EnumerateArray().Select(r => (r[0].GetInt64(), r[1].GetDouble()))];
    }

    /// <summary>Series of a name in VictoriaMetrics by channel: times in ms and values.</summary>
    public static async Task<Dictionary<string, (long Time, double Value)[]>> ReadVictoriaAsync(int port, string name)
    {
        await s_http.GetStringAsync($"http://127.0.0.1:{port}/internal/force_flush", TestContext.Current.CancellationToken);
        string text = await s_http.GetStringAsync($"http://127.0.0.1:{port}/api/v1/export?match[]={name}", TestContext.Current.CancellationToken);
        Dictionary<string, (long, double)[]> series = [];
        foreach (string line in text.Split('\n', StringSplitOptions.RemoveEmptyEntries))
        {
            using var json = JsonDocument.Parse(line);
            series.Add(
                json.RootElement.GetProperty("metric").GetProperty("channel").GetString()!,
                [.. json.RootElement.GetProperty("timestamps").EnumerateArray().Select(t => t.GetInt64()).Zip(json.RootElement.GetProperty("values").EnumerateArray().Select(v => v.GetDouble()))]);
        }

        return series;
    }
}
