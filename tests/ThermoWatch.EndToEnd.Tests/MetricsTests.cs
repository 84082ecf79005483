using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>What /metrics says, read by a parser that we did not write: VictoriaMetrics, which takes the format and exports what it understood.</summary>
public sealed partial class MetricsTests
{
    [Fact]
    public async Task Every_sample_is_understood_by_another_program_with_its_labels_and_its_value()
    {
        int port = FreePorts.Next();
        using Peer victoria = await Databases.VictoriaAsync(port);
        await using LineSink sink = await LineSink.StartAsync(FreePorts.Next());
        await using Node node = new();
        await node.StartMachineAsync();
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(Node.Historian(sink.Port)));
        using HttpClient http = new();
        await Task.Delay(1500, TestContext.Current.CancellationToken); // so that readings have come
        using HttpResponseMessage answer = await http.GetAsync($"http://localhost:{node.Port}/metrics", TestContext.Current.CancellationToken);
        Assert.Equal("text/plain; version=0.0.4; charset=utf-8", answer.Content.Headers.ContentType!.ToString());
        string text = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

        using (HttpResponseMessage taken = await http.PostAsync($"http://127.0.0.1:{port}/api/v1/import/prometheus", new StringContent(text), TestContext.Current.CancellationToken))
        {
            Assert.True(taken.IsSuccessStatusCode);
        }

        Dictionary<string, double> understood = [], written = Samples(text);
        for (int attempt = 0; attempt < 100 && understood.Count < written.Count; attempt++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken); // new series are searched a moment later
            understood = await ReadAsync(http, port);
        }

        Assert.True(written.Count > 40, text);
        Assert.Equal(written.Keys.Order(StringComparer.Ordinal), understood.Keys.Order(StringComparer.Ordinal));
        // It stores numbers as decimal ones: about 15 digits.
        Assert.All(written, sample => Assert.Equal(sample.Value, understood[sample.Key], 1e-12 * Math.Max(1, Math.Abs(sample.Value))));
        Assert.Contains(written.Keys, key => key.StartsWith("thermowatch_temperature_celsius{cell=1,channel=tc1,", StringComparison.Ordinal));
        Assert.Contains("thermowatch_feed_quarantined_lines{feed=historian,kind=influx}", written.Keys);
    }

    [Fact]
    public async Task Every_name_has_its_help_and_its_type_once_and_before_its_samples_and_counters_end_in_total()
    {
        await using Node node = new();
        await node.StartMachineAsync();
        await node.StartServiceAsync();
        using HttpClient http = new();
        string[] lines = (await http.GetStringAsync($"http://localhost:{node.Port}/metrics", TestContext.Current.CancellationToken)).Split('\n');
        Assert.Equal("", lines[^1]); // the last line ends too
        Dictionary<string, string> types = [];
        HashSet<string> helped = [], sampled = [];
        string at = "";
        foreach (string line in lines[..^1])
        {
            string[] words = line.Split(' ');
            string name = words[0] == "#" ? words[2] : line.Split('{', ' ')[0];
            Assert.Matches("^[a-z_:][a-z0-9_:]*$", name);
            if (name != at)
            {
                Assert.True(sampled.Add(name), $"{name} is in two places");
                at = name;
            }

            if (line.StartsWith("# HELP ", StringComparison.Ordinal))
            {
                Assert.True(helped.Add(name) && words.Length > 4, line);
            }
            else if (line.StartsWith("# TYPE ", StringComparison.Ordinal))
            {
                Assert.True(helped.Contains(name) && types.TryAdd(name, words[3]), line);
            }
            else
            {
                Assert.True(types.ContainsKey(name), $"{line} comes before its type");
            }
        }

        Assert.All(types, type => Assert.Equal(type.Value == "counter", type.Key.EndsWith("_total", StringComparison.Ordinal)));
    }

    private static async Task<Dictionary<string, double>> ReadAsync(HttpClient http, int port)
    {
        await http.GetStringAsync($"http://127.0.0.1:{port}/internal/force_flush");
        string export = await http.GetStringAsync($"http://127.0.0.1:{port}/api/v1/export?start=0&match[]=" + Uri.EscapeDataString("""{__name__=~"thermowatch_.*|process_.*|dotnet_.*"}"""));
        Dictionary<string, double> read = [];
        foreach (string line in export.Split('\n', StringSplitOptions.RemoveEmptyEntries))
        {
            using var json = JsonDocument.Parse(line);
            JsonElement metric = json.RootElement.GetProperty("metric");
            read.Add(
                Key(metric.GetProperty("__name__").GetString()!, metric.EnumerateObject().Where(l => l.Name != "__name__").Select(l => (l.Name, l.Value.GetString()!))),
                json.RootElement.GetProperty("values")[0].GetDouble());
        }

        return read;
    }

    private static Dictionary<string, double> Samples(string text) => text.Split('\n').Where(l => l.Length > 0 && l[0] != '#').Select(l => Sample().Match(l)).ToDictionary(
        m => Key(m.Groups[1].Value, Label().Matches(m.Groups[2].Value).Select(l => (l.Groups[1].Value, l.Groups[2].Value))),
        m => double.Parse(m.Groups[3].Value, CultureInfo.InvariantCulture));

    private static string Key(string name, IEnumerable<(string Name, string Value)> labels) =>
        $"{name}{{{string.Join(',', labels.OrderBy(l => l.Name, StringComparer.Ordinal).Select(l => $"{l.Name}={l.Value}"))}}}";

    [GeneratedRegex("""^([a-z_]+)(\{.*\})? (\S+)$""")]
    private static partial Regex Sample();

    [GeneratedRegex("""([a-z]+)="([^"]*)""" + "\"")]
    private static partial Regex Label();
}
