using System.Text.Json;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Replay;

namespace ThermoWatch.Service.Tests.Configuration;

public sealed class DeviceReaderTests
{
    private const string Point = """{ "id": "p", "table": "holding", "address": 3, "type": "bit", "bit": 4, "bitCount": 3 }""";

    [Fact]
    public void Modbus_on_a_serial_port()
    {
        var device = Assert.IsType<ModbusRtuDeviceOptions>(Read($$"""
            { "id": "d", "name": "Gauge", "driver": "modbusRtu", "unit": 7, "period_ms": 250, "timeout_ms": 300, "retries": 2,
              "serial": { "port": "/dev/ttyUSB0", "baud": 9600, "parity": "none", "stopBits": 2, "driver": "portable" }, "points": [ {{Point}} ] }
            """));
        Assert.Equal(("Gauge", 7, 250.0, 2), (device.Name, device.Unit, device.Period.TotalMilliseconds, device.Retries));
        Assert.Equal(new SerialSettings { Port = "/dev/ttyUSB0", Baud = 9600, Parity = SerialParity.None, StopBits = 2, Driver = SerialDriver.Portable }, device.Serial);
        Assert.Equal((4, 3), (device.Points[0].Bit, device.Points[0].BitCount));
    }

    [Fact]
    public void Writing_is_off_unless_it_is_allowed()
    {
        const string start = """{ "id": "d", "driver": "modbusTcp", "host": "10.0.0.9", "points": [ """ + Point + " ]";
        Assert.False(((ModbusDeviceOptions)Read(start + " }")).AllowWrites);
        Assert.True(((ModbusDeviceOptions)Read(start + """, "allowWrites": true }""")).AllowWrites);
    }

    [Fact]
    public void A_point_by_its_manual_s_number_with_the_range_of_its_raw_number()
    {
        var device = (ModbusDeviceOptions)Read("""
            { "id": "d", "driver": "modbusTcp", "host": "h", "points": [ { "id": "p", "manual": 30009, "type": "int16", "plausible": [-2000, 13720] } ] }
            """);
        Assert.Equal((ModbusTable.Input, 8), (device.Points[0].Table, device.Points[0].Address));
        Assert.Equal(new PlausibleRange(-2000, 13720), device.Points[0].Plausible);
    }

    [Fact]
    public void Modbus_through_a_gateway()
    {
        var device = Assert.IsType<ModbusRtuOverTcpDeviceOptions>(Read($$"""
            { "id": "d", "driver": "modbusRtuOverTcp", "host": "10.0.0.9", "port": 4001, "points": [ {{Point}} ] }
            """));
        Assert.Equal(("10.0.0.9", 4001), (device.Host, device.Port));
    }

    [Fact]
    public void A_converter_that_talks_lines()
    {
        var device = Assert.IsType<TextDeviceOptions>(Read("""
            { "id": "d", "driver": "text", "host": "127.0.0.1", "port": 7000, "query": "MEAS?", "queryEnd": "\r\n",
              "format": { "layout": "fields", "separator": ";", "fieldCount": 2, "checksum": "xor", "checksumMark": "#", "words": [ { "word": "OPEN", "means": "openCircuit" } ] },
              "points": [ { "id": "a", "field": "0" }, { "id": "b", "field": "1", "number": "hexadecimal", "firstBit": 18, "bitCount": 14, "signed": true } ] }
            """));
        Assert.Equal(("MEAS?", "\r\n", ';', '#'), (device.Query, device.QueryEnd, device.Format.Separator, device.Format.ChecksumMark));
        Assert.Equal(QualityReason.OpenCircuit, device.Format.Words["OPEN"]);
        Assert.Equal((TextNumber.Hexadecimal, 18, 14, true), (device.Points[1].Number, device.Points[1].FirstBit, device.Points[1].BitCount, device.Points[1].Signed));
    }

    [Fact]
    public void A_recording_as_a_device()
    {
        var device = Assert.IsType<ReplayDeviceOptions>(Read("""
            { "id": "d", "driver": "replay", "path": "run.csv", "speed": 4, "repeat": true, "points": [ { "id": "tc1" }, { "id": "p", "column": "chamber" } ] }
            """));
        Assert.Equal(new CurveFile("run.csv"), device.Recording);
        Assert.Equal((4.0, true, "tc1", "chamber"), (device.Speed, device.Repeat, device.Points[0].Column, device.Points[1].Column));
    }

    [Fact]
    public void A_device_of_our_own_record_as_a_device()
    {
        var device = Assert.IsType<ReplayDeviceOptions>(Read("""
            { "id": "d", "driver": "replay", "speed": 20, "points": [ { "id": "tc1" } ],
              "record": { "folder": "/var/lib/thermowatch", "cell": 2, "device": "amplifier", "from": "2026-11-25T08:00:00Z", "to": "2026-11-25T09:00:00Z" } }
            """));
        Assert.Equal(
            new RecordedDevice("/var/lib/thermowatch", 2, "amplifier", Timestamp.From(new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero)), Timestamp.From(new(2026, 11, 25, 9, 0, 0, TimeSpan.Zero))),
            device.Recording);
    }

    [Theory]
    [InlineData("""{ "id": "d", "driver": "replay", "path": "a.csv", "record": { "folder": "f", "device": "a" }, "points": [ { "id": "a" } ] }""", "d.record", "either")]
    [InlineData("""{ "id": "d", "driver": "replay", "record": { "folder": "f", "device": "a", "from": "2026-11-25T09:00:00Z", "to": "2026-11-25T08:00:00Z" }, "points": [ { "id": "a" } ] }""", "d.record.to", "begins before")]
    [InlineData("""{ "id": "d", "driver": "modbusRtu", "points": [ @ ] }""", "d.serial", "/dev/ttyUSB0")]
    [InlineData("""{ "id": "d", "driver": "modbusRtu", "serial": { "port": "COM3", "baud": 1 }, "points": [ @ ] }""", "d.serial.baud", "300")]
    [InlineData("""{ "id": "d", "driver": "text", "host": "h", "port": 1, "points": [ { "id": "a", "field": "0" } ] }""", "d.format", "fieldCount")]
    [InlineData("""{ "id": "d", "driver": "text", "host": "h", "port": 1, "format": { "fieldCount": 1 }, "points": [ { "id": "a", "field": "1" } ] }""", "d.points[0].field", "0")]
    [InlineData("""{ "id": "d", "driver": "modbusTcp", "host": "h", "points": [ { "id": "p", "manual": 20001, "type": "int16" } ] }""", "d.points[0].manual", "40001")]
    [InlineData("""{ "id": "d", "driver": "modbusTcp", "host": "h", "points": [ { "id": "p", "manual": 40001, "address": 0, "type": "int16" } ] }""", "d.points[0].manual", "either")]
    [InlineData("""{ "id": "d", "driver": "modbusTcp", "host": "h", "points": [ { "id": "p", "manual": 40001, "type": "int16", "plausible": [5, 1] } ] }""", "d.points[0].plausible", "lowest")]
    [InlineData("""{ "id": "d", "driver": "replay", "points": [ { "id": "a" } ] }""", "d.path", "curve file")]
    public void A_fault_is_named_with_its_remedy(string json, string path, string remedy)
    {
        List<ConfigurationFault> faults = [];
        DeviceReader.Read(new JsonScope(JsonSerializer.Deserialize<JsonElement>(json.Replace("@", Point)), "d", faults));
        Assert.Contains(faults, f => f.Path == path && f.Remedy.Contains(remedy, StringComparison.Ordinal));
    }

    private static DeviceOptions Read(string json)
    {
        List<ConfigurationFault> faults = [];
        DeviceOptions? device = DeviceReader.Read(new JsonScope(JsonSerializer.Deserialize<JsonElement>(json), "d", faults));
        Assert.Empty(faults);
        return device!;
    }
}
