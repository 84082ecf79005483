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
    public void A_device_that_cannot_be_reached_says_why()
    {
        using var peer = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        peer.Dispose();
        ProbeReport report = Probe.Run(Device(peer.Port, new ModbusPoint { Id = "t", Address = 0 }), TimeProvider.System, 5, default);
        Assert.False(report.Reached);
        Assert.Contains("refuses the connection", Assert.Single(report.Findings), StringComparison.Ordinal);
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
