using System.Diagnostics;
using System.Runtime.Versioning;
using System.Threading.Channels;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Tests.Peers;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Serial;

/// <summary>Both drivers on pseudo-terminals, with slaves that we did not write and cables that are pulled.</summary>
[SupportedOSPlatform("linux")]
public sealed class SerialLineTests
{
    [Fact]
    public void Libmodbus_slave_on_a_serial_line_is_read()
    {
        using PtyPair line = PtyPair.Create();
        using PeerProcess slave = PeerProcess.Start(PeerProcess.Compile("libmodbus_slave.c", "modbus"), "rtu", line.Theirs, "115200");
        RealSlaves.ReadEverything(Client(new SerialSettings { Port = line.Ours, Baud = 115200 }));
    }

    [Fact]
    public void Libmodbus_slave_is_read_by_the_portable_driver_too()
    {
        using PtyPair line = PtyPair.Create();
        using PeerProcess slave = PeerProcess.Start(PeerProcess.Compile("libmodbus_slave.c", "modbus"), "rtu", line.Theirs, "115200");
        // No parity: a pseudo-terminal drops it, and the portable driver then refuses the port.
        RealSlaves.ReadEverything(Client(new SerialSettings { Port = line.Ours, Baud = 115200, Parity = SerialParity.None, Driver = SerialDriver.Portable }));
    }

    [Fact]
    public void Pymodbus_slave_on_a_serial_line_is_read()
    {
        using PtyPair line = PtyPair.Create();
        using PeerProcess slave = RealSlaves.StartPymodbus("rtu", line.Theirs, "19200");
        RealSlaves.ReadEverything(Client(new SerialSettings { Port = line.Ours }));
    }

    [Fact]
    public void A_driver_that_does_not_come_back_from_a_read_has_its_port_closed_and_opened_again()
    {
        using PtyPair line = PtyPair.Create();
        bool hangs = true;
        using var link = new PortableSerialLink(new SerialSettings { Port = line.Ours, Parity = SerialParity.None }, TimeProvider.System)
        {
            ReadFrom = (port, bytes) =>
            {
                SpinWait.SpinUntil(() => !hangs || !port.IsOpen); // whatever its time limit is
                return port.Read(bytes, 0, bytes.Length);
            },
        };
        Assert.Equal(LinkStatus.Done, link.Open(TimeSpan.FromSeconds(1)).Status);
        long began = Stopwatch.GetTimestamp();
        LinkResult read = link.Read(new byte[8], TimeSpan.FromMilliseconds(50));
        Assert.Equal(LinkStatus.Closed, read.Status);
        Assert.Contains("did not come back", read.Reason, StringComparison.Ordinal);
        Assert.InRange(Stopwatch.GetElapsedTime(began).TotalSeconds, 1, 20); // its grace is a second; a busy computer may be late
        Assert.False(link.IsOpen);
        hangs = false;
        Assert.Equal(LinkStatus.Done, link.Open(TimeSpan.FromSeconds(1)).Status);
        Assert.Equal(LinkStatus.TimedOut, link.Read(new byte[8], TimeSpan.FromMilliseconds(50)).Status);
    }

    [Theory]
    [InlineData(SerialDriver.Native)]
    [InlineData(SerialDriver.Portable)]
    public async Task A_read_that_waits_ends_when_it_is_aborted(SerialDriver driver)
    {
        using PtyPair line = PtyPair.Create();
        using ILink link = SerialLinks.Create(new SerialSettings { Port = line.Ours, Parity = SerialParity.None, Driver = driver }, TimeProvider.System);
        Assert.Equal(LinkStatus.Done, link.Open(TimeSpan.FromSeconds(1)).Status);
        Task<LinkStatus> waiting = Task.Factory.StartNew(() => link.Read(new byte[16], TimeSpan.FromMinutes(5)).Status, TaskCreationOptions.LongRunning);
        link.Abort();
        Assert.Equal(LinkStatus.Aborted, await waiting.WaitAsync(TimeSpan.FromSeconds(20)));
    }

    [Theory]
    [InlineData(SerialDriver.Native)]
    [InlineData(SerialDriver.Portable)]
    public async Task A_converter_that_is_asked_in_lines_answers_over_a_serial_port(SerialDriver driver)
    {
        using PtyPair line = PtyPair.Create();
        var settings = new SerialSettings { Port = line.Ours, Baud = 9600, Parity = SerialParity.None, Driver = driver };
        using ILink instrument = SerialLinks.Create(settings with { Port = line.Theirs, Driver = SerialDriver.Native }, TimeProvider.System);
        Assert.Equal(LinkStatus.Done, instrument.Open(TimeSpan.FromSeconds(1)).Status);
        Task answering = Task.Factory.StartNew(
            () =>
            {
                byte[] asked = new byte[64];
                for (LinkResult read; (read = instrument.Read(asked, TimeSpan.FromMinutes(1))).Status == LinkStatus.Done;)
                    if (asked.AsSpan(0, read.Count).EndsWith("\r\n"u8)) instrument.Write("+2.1795E+2,OPEN\r\n"u8, TimeSpan.FromSeconds(1));
            },
            TaskCreationOptions.LongRunning);
        var options = new TextDeviceOptions
        {
            Id = "t",
            Serial = settings,
            Query = "MEAS:TEMP?",
            QueryEnd = "\r\n",
            Timeout = TimeSpan.FromSeconds(20),
            Format = new TextFormat { FieldCount = 2, Words = new Dictionary<string, QualityReason> { ["OPEN"] = QualityReason.OpenCircuit } },
            Points = [new TextPoint { Id = "a", Field = "0" }, new TextPoint { Id = "b", Field = "1" }],
        };
        var queue = Channel.CreateBounded<EngineInput>(1000);
        using var stop = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        Task running = new AcquisitionRunner([options], queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, 1).RunAsync(stop.Token);
        EngineInput input;
        while ((input = await queue.Reader.ReadAsync(stop.Token)) is not ScanInput) { /* its states come first */ }

        RawScan scan = ((ScanInput)input).Scan;
        Assert.Equal(217.95, scan.Values[0]);
        Assert.Equal([SignalQuality.Good, SignalQuality.Bad(QualityReason.OpenCircuit)], scan.Qualities);
        await stop.CancelAsync();
        await running;
        instrument.Abort();
        await answering.WaitAsync(TimeSpan.FromSeconds(20));
    }

    [Fact]
    public void A_port_that_is_held_names_its_holder()
    {
        using PtyPair line = PtyPair.Create();
        using ILink first = SerialLinks.Create(new SerialSettings { Port = line.Ours }, TimeProvider.System);
        using ILink second = SerialLinks.Create(new SerialSettings { Port = line.Ours }, TimeProvider.System);
        Assert.Equal(LinkStatus.Done, first.Open(TimeSpan.FromSeconds(1)).Status);
        LinkResult refused = second.Open(TimeSpan.FromSeconds(1));
        Assert.Equal(LinkStatus.CannotOpen, refused.Status);
        Assert.Contains($"(process {Environment.ProcessId})", refused.Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/dev/does-not-exist", "is not there")]
    [InlineData("/dev/null", "is not a serial port")]
    public void A_port_that_cannot_be_opened_says_why(string port, string why)
    {
        using ILink link = SerialLinks.Create(new SerialSettings { Port = port }, TimeProvider.System);
        LinkResult opened = link.Open(TimeSpan.FromSeconds(1));
        Assert.Equal(LinkStatus.CannotOpen, opened.Status);
        Assert.Contains(why, opened.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_adapter_pulled_and_plugged_comes_back_by_itself_and_other_lines_go_on()
    {
        string folder = Directory.CreateTempSubdirectory("line").FullName;
        string slaveProgram = PeerProcess.Compile("libmodbus_slave.c", "modbus");
        using var other = new ScriptedPeer((_, request, socket) => socket.SendAsync(ScriptedPeer.Reply(request)));
        var queue = Channel.CreateBounded<EngineInput>(100_000);
        ModbusPoint[] points = [new() { Id = "p", Address = 1 }];
        var runner = new AcquisitionRunner(
            [
                new ModbusRtuDeviceOptions
                {
                    Id = "line", Serial = new() { Port = Path.Combine(folder, "ours"), Baud = 115200 }, Points = points,
                    Period = TimeSpan.FromMilliseconds(20), Timeout = TimeSpan.FromMilliseconds(400), RetryCap = TimeSpan.FromMilliseconds(500),
                },
                new ModbusTcpDeviceOptions { Id = "other", Host = "127.0.0.1", Port = other.Port, Points = points, Timeout = TimeSpan.FromSeconds(20) },
            ],
            queue.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, 1);
        using var stop = new CancellationTokenSource();
        Task running = runner.RunAsync(stop.Token);
        var otherTimes = new List<Timestamp>();
        List<double> backAfter = [];
        for (int i = 0; i < 5 * LongRuns.Twentieths; i++)
        {
            using (PtyPair line = PtyPair.Create(folder))
            using (PeerProcess slave = PeerProcess.Start(slaveProgram, "rtu", line.Theirs, "115200"))
            {
                long plugged = Stopwatch.GetTimestamp();
                await Until(s => s is DeviceStateInput { DeviceIndex: 0, State: DeviceState.Up });
                backAfter.Add(Stopwatch.GetElapsedTime(plugged).TotalSeconds);
                Assert.Equal(8, ((ScanInput)await Until(s => s is ScanInput { Scan.DeviceIndex: 0 } scan && scan.Scan.Qualities[0].HasValue)).Scan.Values[0]);
            }

            var down = (DeviceStateInput)await Until(s => s is DeviceStateInput { DeviceIndex: 0, State: DeviceState.Down });
            Assert.Contains("is not there", down.Reason, StringComparison.Ordinal);
        }

        await stop.CancelAsync();
        await running.WaitAsync(TimeSpan.FromSeconds(10));
        LongRuns.Tell($"plugged {backAfter.Count} times, back after {backAfter.Order().ElementAt(backAfter.Count / 2):0.000} s (median), {backAfter.Max():0.000} s (slowest); the other wire: {runner.Statistics[1].Polls} polls, {runner.Statistics[1].Missed} missed, {runner.Statistics[1].Late} late");
        Assert.True(backAfter.Order().ElementAt(backAfter.Count / 2) < 5);
        Assert.Equal(0, runner.Statistics[1].Missed);
        Assert.InRange(runner.Statistics[1].Late, 0, runner.Statistics[1].Polls / 20); // a busy computer, not the other line
        Assert.Equal(otherTimes.Order(), otherTimes);

        async Task<EngineInput> Until(Predicate<EngineInput> wanted)
        {
            using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(60));
            while (true)
            {
                EngineInput input = await queue.Reader.ReadAsync(patience.Token);
                if (input is ScanInput { Scan.DeviceIndex: 1 }) otherTimes.Add(input.Time);
                if (wanted(input)) return input;
            }
        }
    }

    private static ModbusRtuClient Client(SerialSettings settings) =>
        new(SerialLinks.Create(settings, TimeProvider.System), TimeProvider.System, settings.FrameGap);
}
