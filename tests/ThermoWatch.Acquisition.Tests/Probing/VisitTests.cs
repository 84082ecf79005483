using System.Net;
using System.Net.Sockets;
using System.Threading.Channels;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Acquisition.Tests.Peers;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition.Tests.Probing;

/// <summary>Probes of wires that are being polled, over real sockets.</summary>
public sealed class VisitTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    [Fact]
    public async Task A_device_on_a_polled_wire_is_probed_through_the_same_connection()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(Reply(request)));
        ModbusTcpDeviceOptions polled = Device(peer.Port);
        await using var run = new Running(polled);
        await run.Up();
        List<ProbeProgress> steps = [];
        ProbeOutcome outcome = await run.Probe(polled with { Id = "new", Points = [new ModbusPoint { Id = "n", Address = 7 }] }, 10, new Steps(steps));
        Assert.Equal(("new", true, 7.0), (outcome.Report!.Device, outcome.Report.Reached, outcome.Report.Points[0].Value!.Value));
        Assert.InRange(outcome.Report.Answers, 10, 20);
        Assert.Equal(1, peer.Connections);
        Assert.Contains(steps, s => s.Step == "reading n");
        Assert.Contains(new ProbeProgress("timing answers", 9, 10), steps);
    }

    [Fact]
    public async Task A_silent_unit_on_a_polled_wire_costs_the_others_no_poll()
    {
        using var peer = new ScriptedPeer((_, request, socket) => request[6] == 9 ? Task.CompletedTask : socket.SendAsync(ScriptedPeer.Reply(request)));
        ModbusTcpDeviceOptions polled = Device(peer.Port) with { Period = TimeSpan.FromMilliseconds(200) };
        await using var run = new Running(polled);
        await run.Up();
        ProbeOutcome outcome = await run.Probe(polled with { Id = "new", Unit = 9, Timeout = TimeSpan.FromSeconds(1) }, 10);
        Assert.False(outcome.Report!.Reached);
        Assert.Contains(outcome.Report.Findings, f => f.Contains("less time than the time-out of 1000 ms", StringComparison.Ordinal));
        Assert.Equal(DeviceState.Up, run.Runner.Statistics[0].State);
        Assert.InRange(run.Runner.Statistics[0].Late, 0, 2); // a busy computer; a poll that waited for the silent unit would be five late
    }

    [Fact]
    public async Task A_wire_polled_with_other_settings_is_not_touched()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Running(Device(peer.Port));
        await run.Up();
        ProbeOutcome outcome = await run.Probe(new ModbusRtuOverTcpDeviceOptions { Id = "new", Host = "127.0.0.1", Port = peer.Port, Points = [new ModbusPoint { Id = "n", Address = 7 }] }, 1);
        Assert.Null(outcome.Report);
        Assert.Contains("polls 'd' on 127.0.0.1", outcome.Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wire_that_is_not_polled_is_left_to_others()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        await using var run = new Running(Device(peer.Port));
        Assert.Null(run.Runner.Probe(Device(peer.Port) with { Host = "127.0.0.2" }, 1, default));
    }

    [Fact]
    public async Task Stopping_a_probe_leaves_the_polls_going()
    {
        using var stop = new CancellationTokenSource();
        using var peer = new ScriptedPeer(async (_, request, socket) =>
        {
            if (request[9] == 7) await stop.CancelAsync(); // in the middle of the probe's first question
            await socket.SendAsync(Reply(request));
        });
        ModbusTcpDeviceOptions polled = Device(peer.Port);
        await using var run = new Running(polled);
        await run.Up();
        ProbeReport report = run.Runner.Probe(polled with { Points = [new ModbusPoint { Id = "n", Address = 7 }] }, 1000, stop.Token)!.Report!;
        Assert.InRange(report.Answers, 0, 3);
        long polls = run.Runner.Statistics[0].Polls;
        await run.Scans(5);
        Assert.True(run.Runner.Statistics[0].Polls >= polls + 4);
    }

    [Fact]
    public async Task A_talker_is_probed_by_listening_along()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        var talker = new TextDeviceOptions
        {
            Id = "talker",
            Host = "127.0.0.1",
            Port = ((IPEndPoint)listener.LocalEndpoint).Port,
            Period = TimeSpan.FromSeconds(10),
            Format = new TextFormat { FieldCount = 2 },
            Points = [new TextPoint { Id = "a", Field = "1" }],
        };
        await using var run = new Running(talker);
        using Socket socket = await listener.AcceptSocketAsync();
        using var end = new CancellationTokenSource();
        Task talking = Task.Run(async () =>
        {
            while (!end.IsCancellationRequested)
            {
                await socket.SendAsync("1,24.5\n"u8.ToArray());
                await Task.Yield();
            }
        });
        ProbeOutcome outcome = await run.Probe(talker, 1);
        await end.CancelAsync();
        await talking;
        Assert.Equal((true, 24.5, "1,24.5"), (outcome.Report!.Reached, outcome.Report.Points[0].Value!.Value, outcome.Report.Points[0].Raw));
    }

    // Function 43 is not among what this slave can do.
    private static byte[] Reply(byte[] request) =>
        request[7] == 0x2B ? [request[0], request[1], 0, 0, 0, 3, request[6], 0xAB, 1] : ScriptedPeer.Reply(request);

    private static ModbusTcpDeviceOptions Device(int port) => new()
    {
        Id = "d",
        Host = "127.0.0.1",
        Port = port,
        Period = TimeSpan.FromMilliseconds(100),
        Timeout = TimeSpan.FromSeconds(20),
        Points = [new ModbusPoint { Id = "p", Address = 0 }],
    };

    private sealed class Steps(List<ProbeProgress> steps) : IProgress<ProbeProgress>
    {
        public void Report(ProbeProgress value) => steps.Add(value);
    }

    private sealed class Running : IAsyncDisposable
    {
        private readonly Channel<EngineInput> _queue = Channel.CreateBounded<EngineInput>(100_000);
        private readonly CancellationTokenSource _stop = new();
        private readonly Task _running;

        public Running(params DeviceOptions[] devices)
        {
            Runner = new AcquisitionRunner(devices, _queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, jitterSeed: 1);
            _running = Runner.RunAsync(_stop.Token);
        }

        public AcquisitionRunner Runner { get; }

        public Task<ProbeOutcome> Probe(DeviceOptions options, int answers, IProgress<ProbeProgress>? progress = null) =>
            Task.Run(() => Runner.Probe(options, answers, default, progress)!).WaitAsync(Patience);

        public async Task Up()
        {
            using var patience = new CancellationTokenSource(Patience);
            while (await _queue.Reader.ReadAsync(patience.Token) is not DeviceStateInput { State: DeviceState.Up }) { /* not yet */ }
        }

        public async Task Scans(int count)
        {
            using var patience = new CancellationTokenSource(Patience);
            while (_queue.Reader.TryRead(out _)) { /* what came before */ }
            while (count > 0)
                if (await _queue.Reader.ReadAsync(patience.Token) is ScanInput) count--;
        }

        public async ValueTask DisposeAsync()
        {
            await _stop.CancelAsync();
            await _running.WaitAsync(Patience);
            _stop.Dispose();
        }
    }
}
