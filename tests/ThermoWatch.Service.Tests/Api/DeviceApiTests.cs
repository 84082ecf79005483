using System.Net;
using System.Net.Http.Json;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using System.Threading.Channels;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Api;

namespace ThermoWatch.Service.Tests.Api;

/// <summary>Probing and looking at devices over real loopback sockets, with a slave whose bytes are written out here.</summary>
public sealed class DeviceApiTests : IAsyncLifetime
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);
    private static readonly CellDefinition Cell = new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices = [new("amplifier", "Amplifier", TimeSpan.FromMilliseconds(50), ["p"])],
        Channels = [new() { Id = "c", Name = "c", Role = ChannelRole.Auxiliary, Device = "amplifier", Point = "p", Conversion = new() { Unit = MeasuredUnit.One, Scale = 10 } }],
    };

    private readonly CancellationTokenSource _stop = new();
    private readonly Channel<EngineInput> _inputs = Channel.CreateBounded<EngineInput>(100_000);
    private readonly Slave _polled = new(), _free = new();
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("thermowatch-test-");
    private RunCatalogue _catalogue = null!;
    private WebApplication? _app;
    private HttpClient? _client;
    private Task? _running;

    public async ValueTask InitializeAsync()
    {
        _catalogue = RunCatalogue.Open(Path.Combine(_folder.FullName, "catalogue.sqlite"), TimeProvider.System);
        DeviceOptions[] devices = [Device("amplifier", _polled.Port)];
        var runner = new AcquisitionRunner(devices, _inputs.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, 1);
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.WebHost.ConfigureKestrel(k => k.Listen(IPAddress.Loopback, 0));
        builder.Services.AddSingleton(new ProbeDesk([new CellLines(Cell, devices, runner)], TimeProvider.System));
        builder.Services.AddSingleton(_catalogue);
        builder.Logging.ClearProviders();
        _app = builder.Build();
        RouteGroupBuilder api = _app.MapGroup("/api/v1");
        api.MapProbe();
        api.MapDevices();
        api.MapExchange();
        await _app.StartAsync();
        _client = new HttpClient { BaseAddress = new Uri(_app.Urls.Single()), Timeout = Patience };
        _running = runner.RunAsync(_stop.Token);
        while (await _inputs.Reader.ReadAsync() is not DeviceStateInput { State: DeviceState.Up }) { /* not yet */ }
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _running!.WaitAsync(Patience);
        _client!.Dispose();
        await _app!.DisposeAsync();
        _catalogue.Dispose();
        _folder.Delete(recursive: true);
        _polled.Dispose();
        _free.Dispose();
    }

    [Fact]
    public async Task A_configured_device_is_probed_on_its_own_connection()
    {
        using HttpResponseMessage answer = await PostAsync("""{ "cell": 1, "device": "amplifier", "answers": 5 }""");
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        JsonElement report = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.True(report.GetProperty("reached").GetBoolean());
        Assert.Equal("0007", report.GetProperty("points")[0].GetProperty("raw").GetString());
        Assert.Equal(70, report.GetProperty("channels")[0].GetProperty("value").GetDouble()); // ten times the raw number
        Assert.Equal(1, _polled.Connections);
    }

    [Fact]
    public async Task A_candidate_on_a_free_wire_is_probed()
    {
        using HttpResponseMessage answer = await PostAsync(Candidate(_free.Port));
        JsonElement report = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(("new", 7.0), (report.GetProperty("device").GetString(), report.GetProperty("points")[0].GetProperty("value").GetDouble()));
        Assert.Equal(1, _free.Connections);
    }

    [Fact]
    public async Task A_candidate_that_quarrels_with_a_polled_wire_is_refused()
    {
        using HttpResponseMessage answer = await PostAsync(Candidate(_polled.Port).Replace("modbusTcp", "modbusRtuOverTcp", StringComparison.Ordinal));
        Assert.Contains("'amplifier'", await ProblemAsync(answer, HttpStatusCode.Conflict), StringComparison.Ordinal);
        Assert.Equal(1, _polled.Connections);
    }

    [Theory]
    [InlineData("{ \"cell\": 1,, }", 400, "line 1")]
    [InlineData("[]", 400, "object")]
    [InlineData("{ \"cell\": 1 }", 400, "device")]
    [InlineData("{ \"cell\": 1, \"device\": \"amplifier\", \"answers\": 0 }", 400, "from 1 to 10000")]
    [InlineData("{ \"cell\": 1, \"device\": \"amplifier\", \"speed\": 1 }", 400, "speed: is not a known key")]
    [InlineData("{ \"cell\": 7, \"device\": \"amplifier\" }", 404, "Cells: 1")]
    [InlineData("{ \"cell\": 1, \"device\": \"gauge\" }", 404, "Use one of: amplifier")]
    [InlineData("{ \"candidate\": { \"id\": \"d\", \"driver\": \"modbusTcp\", \"host\": \"h\", \"unit\": 300, \"points\": [ { \"id\": \"p\", \"manual\": 40001, \"type\": \"int16\" } ] } }", 400, "candidate.unit")]
    [InlineData("{ \"candidate\": { \"id\": \"d\", \"driver\": \"replay\", \"path\": \"f.csv\", \"points\": [ { \"id\": \"p\" } ] } }", 400, "candidate.driver")]
    public async Task A_wrong_request_says_what_to_do(string body, int status, string detail)
    {
        using HttpResponseMessage answer = await PostAsync(body);
        Assert.Contains(detail, await ProblemAsync(answer, (HttpStatusCode)status), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Faults_come_one_by_one_for_a_page_to_place_them()
    {
        using HttpResponseMessage answer = await PostAsync("""{ "cell": 0, "device": "", "answers": "many" }""");
        JsonElement problem = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(["answers", "cell", "device"], problem.GetProperty("faults").EnumerateArray().Select(f => f.GetProperty("path").GetString()));
    }

    [Fact]
    public async Task What_is_not_JSON_is_refused_before_it_is_read()
    {
        using HttpResponseMessage answer = await _client!.PostAsync("/api/v1/probe", new StringContent("cell=1"));
        Assert.Contains("Content-Type", await ProblemAsync(answer, HttpStatusCode.UnsupportedMediaType), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Progress_comes_line_by_line_and_the_report_last()
    {
        using HttpResponseMessage answer = await PostAsync("""{ "cell": 1, "device": "amplifier", "answers": 5 }""", "application/x-ndjson");
        Assert.Equal("application/x-ndjson", answer.Content.Headers.ContentType!.MediaType);
        string[] lines = (await answer.Content.ReadAsStringAsync()).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.All(lines[..^1], l => Assert.NotEmpty(JsonDocument.Parse(l).RootElement.GetProperty("step").GetString()!));
        Assert.True(JsonDocument.Parse(lines[^1]).RootElement.GetProperty("report").GetProperty("reached").GetBoolean());
    }

    [Fact]
    public async Task Ending_the_request_ends_the_probe()
    {
        _free.Silent = true; // its time-out is 20 s: nobody waits for that
        using var gone = new CancellationTokenSource();
        Task<HttpResponseMessage> asking = PostAsync(Candidate(_free.Port), stop: gone.Token);
        await _free.Asked.WaitAsync(Patience);
        await gone.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => asking);
        await _free.HungUp.WaitAsync(TimeSpan.FromSeconds(15));
    }

    [Fact]
    public async Task Devices_are_listed_with_their_state_their_times_and_what_happened_on_their_wire()
    {
        JsonElement device;
        do
        {
            JsonElement devices = await _client!.GetFromJsonAsync<JsonElement>("/api/v1/devices");
            device = Assert.Single(devices.GetProperty("devices").EnumerateArray());
        }
        while (device.GetProperty("answers").GetInt64() < 20); // a time-out is suggested from 20 answers on

        Assert.Equal((1, "amplifier", "up", ""), (device.GetProperty("cell").GetInt32(), device.GetProperty("id").GetString(), device.GetProperty("state").GetString(), device.GetProperty("reason").GetString()));
        Assert.Equal($"127.0.0.1:{_polled.Port}", device.GetProperty("wire").GetString());
        Assert.True(device.GetProperty("suggestedTimeoutMilliseconds").GetDouble() >= 20);
        Assert.Equal(20_000, device.GetProperty("timeoutMilliseconds").GetDouble());
        Assert.InRange(device.GetProperty("line").GetProperty("replies").GetInt64(), 19, long.MaxValue);
        Assert.Equal((0, 0), (device.GetProperty("lost").GetInt32(), device.GetProperty("line").GetProperty("foreign").GetInt32()));
    }

    [Fact]
    public async Task How_a_device_is_asked_can_be_changed_and_stands_in_the_audit_trail()
    {
        using HttpResponseMessage answer = await PutAsync("amplifier", """{ "timeoutMilliseconds": 300, "retries": 2, "by": "R. Ahrens", "reason": "slow gateway" }""");
        JsonElement now = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal((300, 2, 8), (now.GetProperty("timeoutMilliseconds").GetDouble(), now.GetProperty("retries").GetInt32(), now.GetProperty("maxGapRegisters").GetInt32()));
        JsonElement device = (await _client!.GetFromJsonAsync<JsonElement>("/api/v1/devices")).GetProperty("devices")[0];
        Assert.Equal((300, 2), (device.GetProperty("timeoutMilliseconds").GetDouble(), device.GetProperty("retries").GetInt32()));
        AuditEntry entry = Assert.Single(_catalogue.LatestAudit(10));
        Assert.Equal(("R. Ahrens", "device.changed", "cell 1 device amplifier", "slow gateway"), (entry.Who, entry.Action, entry.Subject, entry.Reason));
        Assert.Equal(("time-out 20000 ms, retries 0, gap 8 registers", "time-out 300 ms, retries 2, gap 8 registers"), (entry.Before, entry.After));
    }

    [Theory]
    [InlineData("amplifier", """{ "retries": 9, "by": "R. Ahrens" }""", HttpStatusCode.BadRequest, "retries: 9 is not a number of retries")]
    [InlineData("amplifier", """{ "retries": 1 }""", HttpStatusCode.BadRequest, "who")]
    [InlineData("gauge", """{ "retries": 1, "by": "R. Ahrens" }""", HttpStatusCode.NotFound, "Use one of: amplifier")]
    public async Task Wrong_settings_are_refused_and_not_entered(string device, string body, HttpStatusCode status, string detail)
    {
        using HttpResponseMessage answer = await PutAsync(device, body);
        Assert.Contains(detail, await ProblemAsync(answer, status), StringComparison.Ordinal);
        Assert.Empty(_catalogue.LatestAudit(10));
    }

    private async Task<HttpResponseMessage> PutAsync(string device, string body) =>
        await _client!.PutAsync($"/api/v1/cells/1/devices/{device}/exchange", new StringContent(body, Encoding.UTF8, "application/json"));

    private static string Candidate(int port) => JsonSerializer.Serialize(new
    {
        answers = 3,
        candidate = new { id = "new", driver = "modbusTcp", host = "127.0.0.1", port, timeout_ms = 20_000, points = new[] { new { id = "p", manual = 40008, type = "uint16" } } },
    });

    private static ModbusTcpDeviceOptions Device(string id, int port) => new()
    {
        Id = id,
        Host = "127.0.0.1",
        Port = port,
        Period = TimeSpan.FromMilliseconds(50),
        Timeout = TimeSpan.FromSeconds(20),
        Points = [new ModbusPoint { Id = "p", Address = 7, Type = PointType.UInt16 }],
    };

    private static async Task<string> ProblemAsync(HttpResponseMessage answer, HttpStatusCode status)
    {
        Assert.Equal((status, "application/problem+json"), (answer.StatusCode, answer.Content.Headers.ContentType!.MediaType));
        JsonElement problem = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal((int)status, problem.GetProperty("status").GetInt32());
        Assert.NotEmpty(problem.GetProperty("title").GetString()!);
        return problem.GetProperty("detail").GetString()!;
    }

    private async Task<HttpResponseMessage> PostAsync(string body, string accept = "application/json", CancellationToken stop = default)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/v1/probe") { Content = new StringContent(body, Encoding.UTF8, "application/json") };
        request.Headers.Accept.ParseAdd(accept);
        return await _client!.SendAsync(request, stop);
    }

    /// <summary>Answers every read of one register with its address, and everything else with "illegal function".</summary>
    private sealed class Slave : IDisposable
    {
        private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
        private readonly TaskCompletionSource _asked = new(TaskCreationOptions.RunContinuationsAsynchronously), _hungUp = new(TaskCreationOptions.RunContinuationsAsynchronously);

        public Slave()
        {
            _listener.Start();
            Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
            _ = AcceptAsync();
        }

        public int Port { get; }

        public int Connections { get; private set; }

        public bool Silent { get; set; }

        public Task Asked => _asked.Task;

        public Task HungUp => _hungUp.Task;

        public void Dispose() => _listener.Stop();

        private async Task AcceptAsync()
        {
            try
            {
                while (true)
                {
                    Socket socket = await _listener.AcceptSocketAsync();
                    Connections++;
                    _ = ServeAsync(socket);
                }
            }
            catch (Exception e) when (e is SocketException or ObjectDisposedException)
            {
                // Stopped.
            }
        }

        private async Task ServeAsync(Socket socket)
        {
            byte[] request = new byte[260];
            try
            {
                while (await socket.ReceiveAsync(request) is > 7)
                {
                    _asked.TrySetResult();
                    if (!Silent)
                    {
                        byte[] reply = request[7] == 3
                            ? [request[0], request[1], 0, 0, 0, 5, request[6], 3, 2, request[8], request[9]]
                            : [request[0], request[1], 0, 0, 0, 3, request[6], (byte)(request[7] | 0x80), 1];
                        await socket.SendAsync(reply);
                    }
                }
            }
            catch (SocketException)
            {
                // Reset.
            }

            _hungUp.TrySetResult();
        }
    }
}
