using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Text;

namespace ThermoWatch.Acquisition.Tests;

public sealed class WiringTests
{
    private static readonly ModbusRtuDeviceOptions Rtu = new()
    {
        Id = "a",
        Serial = new SerialSettings { Port = "/dev/ttyUSB0" },
        Points = [new ModbusPoint { Id = "p", Address = 0 }],
    };

    private static readonly TextDeviceOptions Text = new()
    {
        Id = "t",
        Serial = new SerialSettings { Port = "/dev/ttyUSB0" },
        Format = new TextFormat { FieldCount = 1 },
        Points = [new TextPoint { Id = "p", Field = "0" }],
    };

    [Fact]
    public void Units_on_one_line_share_it() => Assert.Empty(Wiring.Validate([Rtu, Rtu with { Id = "b", Unit = 2 }], "devices"));

    [Fact]
    public void Devices_that_cannot_share_a_wire_are_refused()
    {
        Assert.Contains("devices[1]", Assert.Single(Wiring.Validate([Rtu, Text], "devices")).Path, StringComparison.Ordinal);
        ConfigurationFault settings = Assert.Single(Wiring.Validate([Rtu, Rtu with { Id = "b", Serial = Rtu.Serial with { Baud = 9600 } }], "devices"));
        Assert.Contains("other line settings", settings.Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void A_wire_that_two_cells_want_is_refused()
    {
        ConfigurationFault shared = Assert.Single(Wiring.Shared([Text with { Id = "x" }], [Rtu, Rtu with { Id = "b", Serial = new() { Port = "COM3" } }], "cells[0].devices", "cells[1].devices"));
        Assert.Equal("cells[1].devices[0]", shared.Path);
        Assert.Contains("one master", shared.Remedy, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1, false)] // one device of this unit does not allow it
    [InlineData(2, true)]
    [InlineData(3, false)] // not configured
    [InlineData(0, false)] // all at once
    public void A_unit_is_written_only_if_its_devices_allow_it(byte unit, bool allowed)
    {
        ModbusTcpDeviceOptions tcp = new() { Id = "t", Host = "127.0.0.1", Port = 1, Points = Rtu.Points };
        ModbusRtuOverTcpDeviceOptions gateway = new() { Id = "t", Host = "127.0.0.1", Port = 1, Points = Rtu.Points };
        foreach (ModbusDeviceOptions kind in (ModbusDeviceOptions[])[tcp, gateway])
        {
            using IModbusClient client = Wiring.ClientFor([kind, kind with { AllowWrites = true }, kind with { Unit = 2, AllowWrites = true }], TimeProvider.System);
            ExchangeStatus status = client.Exchange(unit, ModbusRequest.WriteRegister(0, 1), TimeSpan.FromMilliseconds(10)).Status;
            Assert.Equal(allowed ? ExchangeStatus.Closed : ExchangeStatus.WritesOff, status); // not open: it would have gone out
        }
    }

    [Fact]
    public void An_id_given_twice_is_refused() =>
        Assert.Equal("devices[1].id", Assert.Single(Wiring.Validate([Rtu, Rtu], "devices")).Path);

    [Fact]
    public void A_time_out_shorter_than_the_wire_needs_is_refused()
    {
        ModbusRtuDeviceOptions slow = Rtu with
        {
            Serial = Rtu.Serial with { Baud = 1200 },
            Points = [new ModbusPoint { Id = "p", Address = 0 }, new ModbusPoint { Id = "q", Address = 60 }],
            MaxGapRegisters = 60,
        };
        Assert.Contains("on the wire at 1200 Bd", Assert.Single(slow.Validate("d")).Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Faults_of_a_text_device_come_all_at_once()
    {
        TextDeviceOptions bad = Text with
        {
            Host = "here",
            Points = [new TextPoint { Id = "p", Field = "1" }, new TextPoint { Id = "q", Field = "0", Signed = true }],
        };
        Assert.Equal(
            ["d.serial", "d.port", "d.points[0].field", "d.points[1].bitCount", "d.points[1].signed"],
            bad.Validate("d").Select(f => f.Path));
    }
}
