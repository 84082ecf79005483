using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads one device of the configuration. Bounds of plain numbers are the driver's own to check.</summary>
internal static class DeviceReader
{
    private static readonly Dictionary<string, Func<JsonScope, string, DeviceOptions>> Drivers = new()
    {
        ["modbusTcp"] = ReadModbusTcp,
    };

    private static readonly Dictionary<string, PointType> Types = Enum.GetValues<PointType>().ToDictionary(t => t.ToString().ToLowerInvariant());
    private static readonly Dictionary<string, WordOrder> Orders = Enum.GetValues<WordOrder>().ToDictionary(o => o.ToString().ToUpperInvariant());

    public static DeviceOptions? Read(JsonScope scope)
    {
        string id = scope.Text("id", "Give a short name, such as amplifier.");
        string driver = scope.Text("driver", "Use one of: " + string.Join(", ", Drivers.Keys) + ".");
        if (!Drivers.TryGetValue(driver, out Func<JsonScope, string, DeviceOptions>? read))
        {
            if (driver.Length > 0)
            {
                scope.Fault("driver", $"is \"{driver}\"", "Use one of: " + string.Join(", ", Drivers.Keys) + ".");
            }

            return null;
        }

        DeviceOptions options = read(scope, id);
        scope.NothingElse();
        if (id.Length > 0 && options.PointIds.All(p => p.Length > 0))
        {
            scope.Add(options.Validate(scope.Path));
        }

        return options;
    }

    private static ModbusTcpDeviceOptions ReadModbusTcp(JsonScope scope, string id) => new()
    {
        Id = id,
        Name = scope.OptionalText("name"),
        Host = scope.Text("host", "Write the instrument's address or host name."),
        Port = scope.Whole("port", int.MinValue, int.MaxValue, 502),
        Unit = scope.Whole("unit", int.MinValue, int.MaxValue, 1),
        Period = Milliseconds(scope, "period_ms", 10, 3_600_000, 100),
        Timeout = Milliseconds(scope, "timeout_ms", 10, 30_000, 500),
        ConnectTimeout = Milliseconds(scope, "connectTimeout_ms", 50, 60_000, 3_000),
        RetryCap = Milliseconds(scope, "retryCap_ms", 100, 600_000, 5_000),
        Retries = scope.Whole("retries", int.MinValue, int.MaxValue, 0),
        MaxGapRegisters = scope.Whole("maxGapRegisters", int.MinValue, int.MaxValue, 8),
        MaxRegisters = scope.Whole("maxRegisters", int.MinValue, int.MaxValue, 125),
        Points = [.. scope.Objects("points", "Describe at least one point.").Select(ReadPoint)],
    };

    private static TimeSpan Milliseconds(JsonScope scope, string key, double least, double most, double byDefault) =>
        TimeSpan.FromMilliseconds(scope.Number(key, least, most, byDefault));

    private static ModbusPoint ReadPoint(JsonScope scope)
    {
        ModbusPoint point = new()
        {
            Id = scope.Text("id", "Give the point a short name."),
            Table = scope.Word("table", Words.Of<ModbusTable>(), (ModbusTable?)null),
            Address = scope.Whole("address", int.MinValue, int.MaxValue, null),
            Type = scope.Word("type", Types, (PointType?)null),
            WordOrder = scope.Word("wordOrder", Orders, (WordOrder?)WordOrder.Abcd),
            Bit = scope.Whole("bit", int.MinValue, int.MaxValue, 0),
        };
        scope.NothingElse();
        return point;
    }
}
