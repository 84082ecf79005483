using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Tests.Links;
using ThermoWatch.Acquisition.Tests.Peers;
using static ThermoWatch.Acquisition.Tests.Modbus.RtuTests;

namespace ThermoWatch.Acquisition.Tests.Probing;

public sealed class ProbeTests
{
    [Fact]
    public void A_good_device_is_shown_raw_and_in_all_orders_with_its_response_times()
    {
        // 245.0 is 43750000h (IEEE 754); in the other orders the same bytes are no likely number.
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(Answer(request, "43750000")));
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 0, Type = PointType.Float32 }), TimeProvider.System, 25, default);
        ProbePoint point = Assert.Single(report.Points);
        Assert.True(report.Reached);
        Assert.Equal(("43750000", 245.0, "good"), (point.Raw, point.Value!.Value, point.Quality));
        Assert.Contains("manuals: 40001", point.Where, StringComparison.Ordinal);
        Assert.Equal(245.0, point.Orders["ABCD"]);
        Assert.Equal(["ABCD", "CDAB", "BADC", "DCBA"], point.Orders.Keys);
        Assert.Equal((25, 25), (report.Answers, report.Histogram.Sum(b => b.Count)));
        Assert.True(report.SuggestedTimeoutMilliseconds >= 20);
        Assert.Empty(report.Findings);
    }

    [Fact]
    public void Swapped_words_are_noticed()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(Answer(request, "84674377"))); // 247.5172 as CDAB
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 0, Type = PointType.Float32 }), TimeProvider.System, 5, default);
        Assert.Contains("247.517 as CDAB", Assert.Single(report.Findings), StringComparison.Ordinal);
    }

    [Fact]
    public void An_address_off_by_one_and_a_wrong_table_are_noticed()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(
            request[7] == 3 && request[9] != 9 ? [request[0], request[1], 0, 0, 0, 3, 1, 0x83, 2] : Answer(request, "0992")));
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 10 }), TimeProvider.System, 5, default);
        Assert.Contains(report.Findings, f => f.Contains("address 10 is refused, but 9 answers", StringComparison.Ordinal));
        Assert.Contains(report.Findings, f => f.Contains("Set the table to Input", StringComparison.Ordinal));
        Assert.Equal("bad:refused", Assert.Single(report.Points).Quality);
    }

    [Fact]
    public void Settings_at_which_the_device_answers_are_found()
    {
        var time = new FakeTimeProvider();
        var options = new ModbusRtuDeviceOptions
        {
            Id = "d",
            Serial = new SerialSettings { Port = "p", Baud = 19200 },
            Points = [new ModbusPoint { Id = "t", Address = 0 }],
        };
        var probe = new ModbusProbe(
            options,
            settings => new ModbusRtuClient(
                new VirtualLine(time, _ => settings is { Baud: 9600, Parity: SerialParity.None, StopBits: 1 } ? [(20, WithCrc([1, 3, 2, 9, 0x92]))] : [(20, [0xFF, 0xF0])]),
                time, settings.FrameGap),
            time, 5);
        ProbeReport report = probe.Run(default);
        Assert.Contains(report.Findings, f => f.Contains("at 9600 Bd, parity None, 1 stop bit", StringComparison.Ordinal));
        Assert.Equal("bad:garbled", Assert.Single(report.Points).Quality);
    }

    [Fact]
    public void An_identification_that_comes_in_pages_is_read_whole()
    {
        // Application Protocol 6.21: more follows is FFh and the next object id; the last page says 00h.
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(request[7] != 0x2B
            ? Answer(request, "0001")
            : Identification(request, request[10] == 0 ? ("FF02", "0008" + "4D616B657220316E"[..16]) : ("0000", "0204" + "56312E32"))));
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 0 }), TimeProvider.System, 1, default);
        Assert.Equal("Maker 1n, V1.2", report.Identification);
    }

    [Fact]
    public void Another_master_on_the_line_is_named_before_anything_is_asked()
    {
        (ProbeReport report, VirtualLine line) = OnLine(WithCrc([3, 4, 0, 0, 0, 6]));
        Assert.Contains(report.Findings, f => f.Contains("Another master talks on line: it asks unit 3 with function 04", StringComparison.Ordinal));
        Assert.True(line.SentAt[0] >= line.Began.AddSeconds(1));
    }

    [Fact]
    public void Bytes_that_nobody_asked_for_are_shown()
    {
        (ProbeReport report, _) = OnLine([0x41, 0x42, 0x0D]);
        Assert.Contains(report.Findings, f => f.Contains("3 bytes came in 1 s though nobody asked (41420D)", StringComparison.Ordinal));
    }

    [Fact]
    public void A_quiet_line_with_one_master_has_no_finding() => Assert.Empty(OnLine(null).Report.Findings);

    [Fact]
    public void A_number_outside_its_plausible_range_is_noticed()
    {
        using var peer = new ScriptedPeer((_, request, socket) => socket.SendAsync(Answer(request, "0992")));
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 0, Plausible = new(0, 2000) }), TimeProvider.System, 1, default);
        Assert.Contains("reads 2450, outside its plausible range 0 to 2000", Assert.Single(report.Findings), StringComparison.Ordinal);
        Assert.Equal(("bad:outOfRange", 2450.0), (report.Points[0].Quality, report.Points[0].Value!.Value));
    }

    [Fact]
    public void A_device_that_cannot_be_reached_says_why()
    {
        using var peer = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        peer.Dispose();
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 0 }), TimeProvider.System, 5, default);
        Assert.False(report.Reached);
        Assert.Contains("refuses the connection", Assert.Single(report.Findings), StringComparison.Ordinal);
    }

    private static (ProbeReport Report, VirtualLine Line) OnLine(byte[]? unasked)
    {
        var time = new FakeTimeProvider();
        var options = new ModbusRtuDeviceOptions { Id = "d", Serial = new SerialSettings { Port = "p" }, Points = [new ModbusPoint { Id = "t", Address = 0 }] };
        var line = new VirtualLine(time, request => request[1] == 3 ? [(20, WithCrc([1, 3, 2, 9, 0x92]))] : [(20, WithCrc([1, 0xAB, 1]))]);
        if (unasked is not null) line.Say(300, unasked);
        return (new ModbusProbe(options, settings => new ModbusRtuClient(line, time, settings.FrameGap), time, 3).Run(default), line);
    }

    private static byte[] Identification(byte[] request, (string More, string Objects) page)
    {
        byte[] body = Convert.FromHexString("2B0E0181" + page.More + "01" + page.Objects);
        return [request[0], request[1], 0, 0, 0, (byte)(1 + body.Length), request[6], .. body];
    }

    private static byte[] Answer(byte[] request, string registers)
    {
        // Function 43 is not among what this slave can do.
        if (request[7] == 0x2B) return [request[0], request[1], 0, 0, 0, 3, request[6], 0xAB, 1];
        byte[] data = Convert.FromHexString(registers);
        return [request[0], request[1], 0, 0, 0, (byte)(3 + data.Length), request[6], request[7], (byte)data.Length, .. data];
    }

    private static ModbusTcpDeviceOptions Device(int port, ModbusPoint point) => new() { Id = "d", Host = "127.0.0.1", Port = port, Timeout = TimeSpan.FromSeconds(20), Points = [point] };
}
