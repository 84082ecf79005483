using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Hosting;
using ThermoWatch.Service.Tests.Rejudging;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Wire;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>
/// A simulated machine behind its Modbus face, the whole service that polls it over a socket, and an outside client on its hub and its
/// API. Machine and service live by one clock that moves a poll at a time, and only when the client has what the last poll brought: so
/// a day of the floor takes seconds, and comes out the same on a busy computer.
/// </summary>
internal sealed class SocketFloor : IAsyncDisposable
{
    private static readonly DateTimeOffset s_opening = new(2026, 3, 2, 6, 0, 0, TimeSpan.Zero);
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(30);

    private readonly PolledTime _time = new(s_opening);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("floor");
    private readonly LiveCell _machine;
    private readonly ModbusTcpFace _face;
    private readonly NodeConfiguration _node;
    private readonly TimeSpan _period;
    private CancellationTokenSource _stop = new();
    private Task<int> _service = Task.FromResult(0);
    private PendingWeb? _web;
    private LiveClient? _client;

    private SocketFloor(Scenario scenario, int seed, Action<JsonNode>? change, string? spec, TimeSpan period)
    {
        _period = period;
        _machine = new LiveCell(new SimulatedCell(new SimulatorOptions { Seed = seed }, scenario), _time) { Sampled = cell => Lived.Add((cell.MachineTime.TotalSeconds, cell.Truth)) };
        _face = ModbusTcpFace.Start(new CellRegisters(_machine), new IPEndPoint(IPAddress.Loopback, 0));
        _node = SimulatedRecord.Configuration(
            json =>
            {
                JsonNode device = json["cells"]![0]!["devices"]![0]!;
                json["port"] = FreePorts.Next();
                (device["port"], device["period_ms"], device["timeout_ms"]) = (_face.Port, period.TotalMilliseconds, 10_000);
                change?.Invoke(json);
            },
            name => name.EndsWith("spec.json", StringComparison.Ordinal) ? spec : null);
        Http = new HttpClient { BaseAddress = new Uri($"http://localhost:{_node.Port}"), Timeout = s_patience };
    }

    public HttpClient Http { get; }

    /// <summary>What really was, ten times a second, with seconds since the opening.</summary>
    public List<(double Seconds, CellTruth Truth)> Lived { get; } = [];

    /// <summary>Seconds since the opening.</summary>
    public double Now => (_time.GetUtcNow() - s_opening).TotalSeconds;

    /// <summary>Opens the floor; the service has asked the machine for the first time.</summary>
    /// <param name="scenario">What the machine plays.</param>
    /// <param name="change">Changes the demo's configuration; null: as it is.</param>
    /// <param name="spec">Text of the spec; null: the demo's.</param>
    /// <param name="seed">Seed of the machine.</param>
    /// <param name="periodSeconds">From one poll to the next.</param>
    public static async Task<SocketFloor> OpenAsync(Scenario scenario, Action<JsonNode>? change = null, string? spec = null, int seed = 3, double periodSeconds = 0.2)
    {
        var floor = new SocketFloor(scenario, seed, change, spec, TimeSpan.FromSeconds(periodSeconds));
        await floor.StartServiceAsync();
        return floor;
    }

    /// <summary>A scenario of the library with only what it says of one run, which becomes the first.</summary>
    public static Scenario Only(string name, int run)
    {
        Scenario scenario = ScenarioLibrary.Find(name)!;
        return scenario with { Runs = [.. scenario.Runs.Where(r => r.Holds(run)).Select(r => r with { From = 1, To = null })] };
    }

    /// <summary>Seconds at which the machine does something in a run for the first time.</summary>
    public double At(int run, Func<CellTruth, bool> what) => Lived.First(l => l.Truth.RunNumber == run && what(l.Truth)).Seconds;

    /// <summary>Seconds since the opening of a time that the API gives.</summary>
    public static double Seconds(JsonElement time) => (time.GetDateTimeOffset() - s_opening).TotalSeconds;

    /// <summary>Lets time pass until whoever watches sees that a run is over, and the record has it.</summary>
    /// <returns>When it was seen, seconds since the opening.</returns>
    public async Task<double> EndOfAsync(int run)
    {
        while (!(_client!.Newest ?? _client.First).Runs.Any(r => r.Number > run || (r.Number == run && r.End is not null)))
        {
            Assert.True(_machine.Look(c => c.Truth.RunNumber) <= run + 1, $"Run {run} is over and has no end.");
            await PollAsync();
        }

        double seen = Now;
        await RecordedAsync(run, r => r.GetProperty("end").ValueKind == JsonValueKind.String);
        return seen;
    }

    /// <summary>A run, as soon as the record says this of it: it is written down a little after it is known.</summary>
    public async Task<JsonElement> RecordedAsync(int run, Func<JsonElement, bool> what)
    {
        var late = System.Diagnostics.Stopwatch.StartNew();
        while (true)
        {
            JsonElement[] found = [.. (await RunsListedAsync()).Where(r => r.GetProperty("number").GetInt64() == run && what(r))];
            if (found is [{ } one])
            {
                return one;
            }

            Assert.True(late.Elapsed < s_patience, $"The record does not say that of run {run}.");
            await Task.Delay(5);
        }
    }

    /// <summary>Lets so many runs come to their end.</summary>
    public async Task RunsAsync(int runs)
    {
        for (int run = 1; run <= runs; run++)
        {
            await EndOfAsync(run);
        }
    }

    /// <summary>Lets the machine live until it does something, or its time is over.</summary>
    public async Task UntilAsync(Func<CellTruth, bool> what)
    {
        while (!_machine.Look(c => what(c.Truth)))
        {
            await PollAsync();
        }
    }

    /// <summary>Lets time pass in which nobody asks the machine.</summary>
    public void PassUnseen(TimeSpan time)
    {
        for (TimeSpan left = time; left > TimeSpan.Zero; left -= _period)
        {
            _time.Advance(_period);
            _machine.Look(c => c.MachineTime);
        }
    }

    public async Task StartServiceAsync()
    {
        while (_time.Armed.Wait(0))
        {
        }

        _stop = new CancellationTokenSource();
        _web = PendingWeb.Begin();
        (PendingWeb web, CancellationToken stop) = (_web, _stop.Token);
        _service = Task.Run(() => Node.RunAsync(_node, Path.Combine(_folder.FullName, "data"), new NodeMode("test", new AnchoredClock(_time), _time), web, stop));
        var late = System.Diagnostics.Stopwatch.StartNew();
        while (!await IsReadyAsync())
        {
            Assert.False(_service.IsCompleted, "The service has ended.");
            Assert.True(late.Elapsed < s_patience, "The service does not answer.");
            await Task.Delay(10);
        }

        _client = await LiveClient.ConnectAsync(_node.Port);
    }

    public async Task StopServiceAsync()
    {
        await _client!.DisposeAsync();
        await _stop.CancelAsync();
        Assert.Equal(0, await _service);
        await _web!.DisposeAsync();
        _stop.Dispose();
        _client = null;
    }

    /// <summary>What a client that comes now is told of the cell.</summary>
    public async Task<State> StateAsync()
    {
        await using LiveClient comer = await LiveClient.ConnectAsync(_node.Port);
        return comer.First;
    }

    /// <summary>Seconds since the opening of a time that the hub gives, ms since 1970.</summary>
    public static double Seconds(double milliseconds) => (DateTimeOffset.UnixEpoch.AddMilliseconds(milliseconds) - s_opening).TotalSeconds;

    public async Task<JsonElement> GetAsync(string address)
    {
        using JsonDocument document = JsonDocument.Parse(await Http.GetStringAsync(new Uri("/api/v1/cells/1/" + address, UriKind.Relative)));
        return document.RootElement.Clone();
    }

    public async Task<JsonElement> PostAsync(string address, object body)
    {
        using HttpResponseMessage answer = await Http.PostAsJsonAsync("/api/v1/cells/1/" + address, body);
        string text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.IsSuccessStatusCode, $"{address}: {text}");
        using JsonDocument document = JsonDocument.Parse(text);
        return document.RootElement.Clone();
    }

    /// <summary>All runs, the first first.</summary>
    public async Task<JsonElement[]> RunsListedAsync() => [.. (await GetAsync("runs?limit=500")).GetProperty("runs").EnumerateArray().Reverse()];

    /// <summary>A figure of a run, as the API gives it.</summary>
    public async Task<JsonElement> FigureAsync(int run, string figure, string? channel = null) =>
        (await GetAsync($"runs/{run}")).GetProperty("figures").EnumerateArray().First(f => f.GetProperty("figure").GetString() == figure && f.GetProperty("channel").GetString() == channel);

    /// <summary>Alarms that somebody was called for, in their order.</summary>
    public async Task<JsonElement[]> ToldAsync() =>
        [.. (await GetAsync("alarms/history?limit=1000")).GetProperty("steps").EnumerateArray().Where(s => s.GetProperty("state").GetString() == "unacknowledged").Reverse()];

    public async ValueTask DisposeAsync()
    {
        if (_client is not null)
        {
            await StopServiceAsync();
        }

        await _face.DisposeAsync();
        Http.Dispose();
        _folder.Delete(recursive: true);
    }

    /// <summary>One poll, and what it brought has arrived outside.</summary>
    private async Task PollAsync()
    {
        Assert.True(await _time.Armed.WaitAsync(s_patience), "Nobody waits for the next poll.");
        _time.Advance(_period);
        double now = (_time.GetUtcNow() - DateTimeOffset.UnixEpoch).TotalMilliseconds;
        while ((await _client!.NextFrameAsync()).T < now - 1)
        {
        }
    }

    private async Task<bool> IsReadyAsync()
    {
        try
        {
            using HttpResponseMessage answer = await Http.GetAsync(new Uri("/healthz/ready", UriKind.Relative));
            return answer.IsSuccessStatusCode;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    /// <summary>A clock that knows when the line's thread has set its alarm for the next poll: before that, time would go by unseen.</summary>
    private sealed class PolledTime(DateTimeOffset start) : FakeTimeProvider(start)
    {
        public SemaphoreSlim Armed { get; } = new(0);

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            ITimer timer = base.CreateTimer(callback, state, dueTime, period);
            return state is AutoResetEvent ? new Alarm(timer, Armed) : timer;
        }

        private sealed class Alarm(ITimer timer, SemaphoreSlim armed) : ITimer
        {
            public bool Change(TimeSpan dueTime, TimeSpan period)
            {
                bool changed = timer.Change(dueTime, period);
                if (dueTime > TimeSpan.Zero)
                {
                    armed.Release();
                }

                return changed;
            }

            public void Dispose() => timer.Dispose();

            public ValueTask DisposeAsync() => timer.DisposeAsync();
        }
    }
}
