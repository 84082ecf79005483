using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Service.Replay;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads one device of the configuration. Bounds of plain numbers are the driver's own to check.</summary>
internal static class DeviceReader
{
    private static readonly Dictionary<string, Func<JsonScope, string, DeviceOptions>> Drivers = new()
    {
        ["modbusTcp"] = ModbusTcp,
        ["modbusRtu"] = ModbusRtu,
        ["modbusRtuOverTcp"] = ModbusRtuOverTcp,
        ["text"] = TextDeviceReader.Read,
        ["replay"] = Replay,
    };

    private static readonly Dictionary<string, PointType> Types = Enum.GetValues<PointType>().ToDictionary(t => t.ToString().ToLowerInvariant());

    public static DeviceOptions? Read(JsonScope scope)
    {
        string id = scope.Text("id", "Give a short name, such as amplifier.");
        string remedy = "Use one of: " + string.Join(", ", Drivers.Keys) + ".";
        string driver = scope.Text("driver", remedy);
        if (!Drivers.TryGetValue(driver, out Func<JsonScope, string, DeviceOptions>? read))
        {
            if (driver.Length > 0)
            {
                scope.Fault("driver", $"is \"{driver}\"", remedy);
            }

            return null;
        }

        int faults = scope.FaultCount;
        DeviceOptions options = read(scope, id) with
        {
            Name = scope.OptionalText("name"),
            Period = Milliseconds(scope, "period_ms", 10, 3_600_000, 100),
            ConnectTimeout = Milliseconds(scope, "connectTimeout_ms", 50, 60_000, 3_000),
            RetryCap = Milliseconds(scope, "retryCap_ms", 100, 600_000, 5_000),
        };
        scope.NothingElse();
        if (id.Length > 0 && scope.FaultCount == faults)
        {
            scope.Add(options.Validate(scope.Path));
        }

        return options;
    }

    /// <summary>A serial port and its settings.</summary>
    internal static SerialSettings Serial(JsonScope scope)
    {
        SerialSettings settings = new()
        {
            Port = scope.Text("port", "Name the port, best by its stable name: /dev/serial/by-id/... or COM3."),
            Baud = scope.Whole("baud", int.MinValue, int.MaxValue, 19200),
            DataBits = scope.Whole("dataBits", int.MinValue, int.MaxValue, 8),
            Parity = scope.Word("parity", Words.Of<SerialParity>(), (SerialParity?)SerialParity.Even),
            StopBits = scope.Whole("stopBits", int.MinValue, int.MaxValue, 1),
            Driver = scope.Word("driver", Words.Of<SerialDriver>(), (SerialDriver?)SerialDriver.Automatic),
        };
        scope.NothingElse();
        return settings;
    }

    internal static SerialSettings RequiredSerial(JsonScope scope)
    {
        if (scope.Object("serial") is { } serial)
        {
            return Serial(serial);
        }

        scope.Fault("serial", "is missing", "Describe the port: { \"port\": \"/dev/ttyUSB0\", \"baud\": 19200 }.");
        return new SerialSettings { Port = "" };
    }

    internal static TimeSpan Milliseconds(JsonScope scope, string key, double least, double most, double byDefault) =>
        TimeSpan.FromMilliseconds(scope.Number(key, least, most, byDefault));

    /// <summary>Where a point's number can lie.</summary>
    internal static PlausibleRange? Plausible(JsonScope point) =>
        ConversionReader.Range(point, "plausible") is (double lowest, double highest) ? new(lowest, highest) : null;

    private static ModbusDeviceOptions ModbusTcp(JsonScope scope, string id) => Modbus(scope, new ModbusTcpDeviceOptions
    {
        Id = id,
        Host = scope.Text("host", "Write the instrument's address or host name."),
        Port = scope.Whole("port", int.MinValue, int.MaxValue, 502),
        MaxOutstanding = scope.Whole("maxOutstanding", int.MinValue, int.MaxValue, 1),
        Points = [],
    });

    private static ModbusDeviceOptions ModbusRtu(JsonScope scope, string id) => Modbus(scope, new ModbusRtuDeviceOptions
    {
        Id = id,
        Serial = RequiredSerial(scope),
        Points = [],
    });

    private static ModbusDeviceOptions ModbusRtuOverTcp(JsonScope scope, string id) => Modbus(scope, new ModbusRtuOverTcpDeviceOptions
    {
        Id = id,
        Host = scope.Text("host", "Write the gateway's address or host name."),
        Port = scope.Whole("port", int.MinValue, int.MaxValue, null),
        Points = [],
    });

    /// <summary>What all Modbus devices have.</summary>
    private static ModbusDeviceOptions Modbus(JsonScope scope, ModbusDeviceOptions options) => options with
    {
        Unit = scope.Whole("unit", int.MinValue, int.MaxValue, 1),
        Timeout = Milliseconds(scope, "timeout_ms", 10, 30_000, 500),
        Retries = scope.Whole("retries", int.MinValue, int.MaxValue, 0),
        MaxGapRegisters = scope.Whole("maxGapRegisters", int.MinValue, int.MaxValue, 8),
        MaxRegisters = scope.Whole("maxRegisters", int.MinValue, int.MaxValue, 125),
        AllowWrites = scope.Flag("allowWrites"),
        Points = [.. scope.Objects("points", "Describe at least one point.").Select(ModbusPoint)],
    };

    private static ModbusPoint ModbusPoint(JsonScope scope)
    {
        string id = scope.Text("id", "Give the point a short name.");
        (ModbusTable table, int address) = scope.Has("manual")
            ? Manual(scope)
            : (scope.Word("table", Words.Of<ModbusTable>(), (ModbusTable?)null), scope.Whole("address", int.MinValue, int.MaxValue, null));
        ModbusPoint point = new()
        {
            Id = id,
            Table = table,
            Address = address,
            Type = scope.Word("type", Types, (PointType?)null),
            WordOrder = scope.Word("wordOrder", Enum.GetValues<WordOrder>().ToDictionary(o => o.ToString().ToUpperInvariant()), (WordOrder?)WordOrder.Abcd),
            Bit = scope.Whole("bit", int.MinValue, int.MaxValue, 0),
            BitCount = scope.Whole("bitCount", int.MinValue, int.MaxValue, 1),
            Plausible = Plausible(scope),
        };
        scope.NothingElse();
        return point;
    }

    /// <summary>Where a point lives, by the number that its manual prints.</summary>
    private static (ModbusTable Table, int Address) Manual(JsonScope scope)
    {
        if (scope.Has("table") || scope.Has("address"))
        {
            scope.Fault("manual", "stands beside table or address", "Give either the manual's number, or table and address as on the wire.");
        }

        int number = scope.Whole("manual", 1, 465_536, null);
        if (!ManualNumber.TryParse(number, out ModbusTable table, out int address))
        {
            scope.Fault("manual", $"is {number}", "Use the number that the manual prints: 40001 is the first holding register, 30001 the first input register, 10001 the first input, 1 the first coil.");
        }

        return (table, Math.Max(0, address));
    }

    private static ReplayDeviceOptions Replay(JsonScope scope, string id) => new()
    {
        Id = id,
        Recording = Recording(scope),
        Speed = scope.Number("speed", 0.01, 1000, 1),
        Repeat = scope.Flag("repeat"),
        Points = [.. scope.Objects("points", "Name at least one column.").Select(ReplayPoint)],
    };

    /// <summary>A curve file, or a device of our own record.</summary>
    private static IRecording Recording(JsonScope scope)
    {
        if (scope.Object("record") is not { } record)
        {
            return new CurveFile(scope.Text("path", "Name the curve file to replay, or describe a record."));
        }

        if (scope.Has("path"))
        {
            scope.Fault("record", "stands beside path", "Give either a curve file or a record.");
        }

        RecordedDevice recorded = new(
            record.Text("folder", "Name the data folder of a service, or a backup of it."),
            record.Whole("cell", 1, 99, 1),
            record.Text("device", "Name the device that was recorded."),
            record.Has("from") ? CalibrationReader.Moment(record, "from") : null,
            record.Has("to") ? CalibrationReader.Moment(record, "to") : null);
        if (recorded.From > recorded.To)
        {
            record.Fault("to", "is before from", "Give a span of time that begins before it ends.");
        }

        record.NothingElse();
        return recorded;
    }

    private static ReplayPoint ReplayPoint(JsonScope scope)
    {
        string id = scope.Text("id", "Give the point a short name.");
        ReplayPoint point = new() { Id = id, Column = scope.OptionalText("column") ?? id, Plausible = Plausible(scope) };
        scope.NothingElse();
        return point;
    }
}
