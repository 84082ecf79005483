using System.Globalization;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.SignalR;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>
/// People and programs say one thing after another, and the process is killed in the middle of it, at a moment of its own each time: what was
/// answered stands afterwards, alarm states, records, decisions, references, service log and product. More kills with THERMOWATCH_KILLS=20.
/// </summary>
public sealed class KilledStateTests : IDisposable
{
    private const string Silent = "deviceSilent/amplifier";
    private const int Runs = 24;

    private static readonly int s_kills = int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_KILLS"), CultureInfo.InvariantCulture, out int kills) ? kills : 4;

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("thermowatch-test-");
    private readonly int _port = FreePorts.Next();
    private readonly HttpClient _http = new();

    // What was answered, by the address that shows it and the words that must stand there.
    private readonly List<(string Address, string Words)> _answered = [];
    private readonly HashSet<string> _products = [], _alarmStates = [];
    private int _said, _step;
    private bool _isProductAnswered;

    public KilledStateTests() => _http.BaseAddress = new Uri($"http://localhost:{_port}");

    private string Data => Path.Combine(_folder.FullName, "data");

    public void Dispose()
    {
        _http.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public async Task Whatever_was_answered_stands_after_a_kill_at_any_moment()
    {
        await using (ProgramRun demo = ProgramRun.Start(["demo", "--data", Data, "--port", _port.ToString()]))
        {
            await demo.SaysAsync("ThermoWatch is at");
            Assert.Equal(0, await demo.InterruptAsync());
        }

        string configuration = await ConfigurationAsync();
        Random moments = new(20260302);
        for (int kill = 0; kill <= s_kills; kill++)
        {
            // No machine answers any more: that is the alarm.
            await using ProgramRun service = ProgramRun.Start(["serve", "--config", configuration, "--data", Data, "--port", _port.ToString()]);
            await service.SaysAsync("ThermoWatch is at");
            await using LiveClient client = await LiveClient.ConnectAsync(_port);
            await StandsAsync(client, kill);
            if (kill == s_kills)
            {
                Assert.Equal(0, await service.InterruptAsync());
                break;
            }

            using var stop = new CancellationTokenSource();
            Task saying = SayOnAsync(client, stop.Token);
            await Task.Delay(moments.Next(10, 600));
            await service.KillAsync();
            await stop.CancelAsync();
            await saying;
        }

        Assert.True(_answered.Count > 10 * s_kills, $"only {_answered.Count} things were answered in {s_kills} lives");
        await using ProgramRun verify = ProgramRun.Start(["verify", "--data", Data]);
        Assert.True(await verify.EndsAsync() == 0, verify.Output + verify.Errors);
        TestContext.Current.TestOutputHelper?.WriteLine($"{_answered.Count} answers outlived {s_kills} kills.");
    }

    /// <summary>Says one thing after another until nobody answers.</summary>
    private async Task SayOnAsync(LiveClient client, CancellationToken stop)
    {
        try
        {
            while (!stop.IsCancellationRequested)
            {
                int number = ++_said;
                long run = 1 + (number % Runs);
                string words = $"word {number}";
                switch (number % 6)
                {
                    case 0:
                        await PostAsync($"runs/{run}/decisions", new { kind = "hold", by = "Ines", reason = words }, $"runs/{run}/decisions", words, stop);
                        break;
                    case 1:
                        await PostAsync($"runs/{run}/record", new { by = "Ines", remarks = words, product = words }, $"runs/{run}/record", words, stop);
                        break;
                    case 2:
                        await PostAsync($"runs/{run}/reference", new { by = "Ines", reason = words }, "references", $"\"run\":{run},", stop);
                        break;
                    case 3:
                        await PostAsync("service-log", new { kind = "oil", by = "Jon", remark = words }, "service-log", words, stop);
                        break;
                    case 4:
                        // The one that is on its way when the process dies may stand or not.
                        string product = $"Product {1 + (number / 6 % 2)}";
                        _products.Add(product);
                        await PostAsync("carriers/A/product", new { by = "Kim", product }, null, "", stop);
                        _products.RemoveWhere(p => p != product);
                        _isProductAnswered = true;
                        break;
                    default:
                        await OrderAsync(client, words);
                        break;
                }
            }
        }
        catch (Exception dead) when (dead is HttpRequestException or OperationCanceledException or HubException or InvalidOperationException or IOException or System.Net.WebSockets.WebSocketException)
        {
            // The process is gone, and with it what nobody had been told of yet.
        }
    }

    private async Task OrderAsync(LiveClient client, string words)
    {
        (string method, object?[] arguments, string state) = _step switch
        {
            0 => ("acknowledge", (object?[])[Silent, "Kim", words], "acknowledged"),
            1 => ("shelve", [Silent, "Kim", words, 60.0, false], "shelved"),
            2 => ("unshelve", [Silent, "Kim"], "unacknowledged"),
            3 => ("outOfService", [Silent, "Kim", words], "outOfService"),
            _ => ("returnToService", [Silent, "Kim", words], "unacknowledged"),
        };
        _alarmStates.Add(state);
        await client.OrderAsync(method, arguments);
        _alarmStates.RemoveWhere(s => s != state);
        _step = (_step + 1) % 5;
        if (method != "unshelve")
        {
            _answered.Add(("alarms/history?limit=1000", words));
        }
    }

    private async Task PostAsync(string address, object body, string? shownAt, string words, CancellationToken stop)
    {
        using var request = new HttpRequestMessage(address.EndsWith("record", StringComparison.Ordinal) ? HttpMethod.Patch : HttpMethod.Post, "/api/v1/cells/1/" + address) { Content = JsonContent.Create(body) };
        using HttpResponseMessage answer = await _http.SendAsync(request, stop);
        // A run that is a reference already is not released twice: it stands, and that was the answer.
        bool stood = answer.StatusCode == HttpStatusCode.Conflict && address.EndsWith("reference", StringComparison.Ordinal);
        Assert.True(answer.IsSuccessStatusCode || stood, $"{address}: {await answer.Content.ReadAsStringAsync(CancellationToken.None)}");
        if (shownAt is not null)
        {
            _answered.Add((shownAt, words));
        }
    }

    private async Task StandsAsync(LiveClient client, int kill)
    {
        foreach (IGrouping<string, (string Address, string Words)> shown in _answered.GroupBy(a => a.Address))
        {
            string text = await _http.GetStringAsync(new Uri("/api/v1/cells/1/" + shown.Key, UriKind.Relative));
            Assert.All(shown, a => Assert.True(Holds(text, a.Words), $"After kill {kill} {a.Address} says nothing of \"{a.Words}\", which was answered."));
        }

        State state = await client.StateWhenAsync(s => s.Alarms.Concat(s.HiddenAlarms).Any(a => a.Id == Silent));
        Alarm alarm = state.Alarms.Concat(state.HiddenAlarms).Single(a => a.Id == Silent);
        _step = alarm.State switch { "acknowledged" => 1, "shelved" => 2, "outOfService" => 4, _ => 0 };
        if (_alarmStates.Count > 0)
        {
            Assert.Contains(alarm.State, _alarmStates);
            _alarmStates.RemoveWhere(s => s != alarm.State);
        }

        if (_isProductAnswered) // before that it may still be what the demo soldered
        {
            string product = await ProductAsync();
            Assert.Contains(product, _products);
            _products.RemoveWhere(p => p != product);
        }
    }

    /// <summary>Whether a text holds words, and not only as the beginning of others.</summary>
    private static bool Holds(string text, string words)
    {
        for (int at = text.IndexOf(words, StringComparison.Ordinal); at >= 0; at = text.IndexOf(words, at + 1, StringComparison.Ordinal))
        {
            if (at + words.Length == text.Length || !char.IsDigit(text[at + words.Length]))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>What the open run solders; it was open when the demo ended, and nothing has ended it.</summary>
    private async Task<string> ProductAsync()
    {
        using JsonDocument newest = JsonDocument.Parse(await _http.GetStringAsync(new Uri("/api/v1/cells/1/runs?limit=1", UriKind.Relative)));
        JsonElement run = newest.RootElement.GetProperty("runs")[0];
        Assert.Equal(JsonValueKind.Null, run.GetProperty("end").ValueKind);
        Assert.Equal($"Traction board {run.GetProperty("product").GetString()![^1]}", run.GetProperty("spec").GetProperty("name").GetString());
        return run.GetProperty("product").GetString()!;
    }

    private async Task<string> ConfigurationAsync()
    {
        JsonNode json = JsonNode.Parse(await File.ReadAllTextAsync(Published.DemoFile("thermowatch.json")))!;
        JsonNode cell = json["cells"]![0]!;
        cell["devices"]![0]!["port"] = FreePorts.Next();
        JsonArray specs = [];
        for (int product = 1; product <= 2; product++)
        {
            JsonNode spec = JsonNode.Parse(await File.ReadAllTextAsync(Published.DemoFile("traction-board.spec.json")))!;
            (spec["name"], spec["product"], spec["recipe"]) = ($"Traction board {product}", $"Product {product}", 100 + product);
            spec.AsObject().Remove("codes");
            specs.Add($"product-{product}.spec.json");
            await File.WriteAllTextAsync(Path.Combine(_folder.FullName, $"product-{product}.spec.json"), spec.ToJsonString());
        }

        cell["specs"] = specs;
        File.Copy(Published.DemoFile("traction-board.spec.json"), Path.Combine(_folder.FullName, "traction-board.spec.json"));
        string path = Path.Combine(_folder.FullName, "thermowatch.json");
        await File.WriteAllTextAsync(path, json.ToJsonString());
        return path;
    }
}
