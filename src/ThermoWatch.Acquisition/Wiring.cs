using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Text;

namespace ThermoWatch.Acquisition;

/// <summary>Which devices share a wire, and what drives it.</summary>
public static class Wiring
{
    /// <summary>All that is wrong with the devices of a node, one by one and together.</summary>
    /// <param name="devices">The devices.</param>
    /// <param name="path">Path of their list, such as <c>cells[0].devices</c>.</param>
    public static IReadOnlyList<ConfigurationFault> Validate(IReadOnlyList<DeviceOptions> devices, string path)
    {
        List<ConfigurationFault> faults = [.. devices.SelectMany((d, i) => d.Validate($"{path}[{i}]"))];
        for (int i = 0; i < devices.Count; i++)
        {
            int first = devices.Select(d => d.Id).ToList().IndexOf(devices[i].Id);
            if (first < i) faults.Add(new($"{path}[{i}].id", $"'{devices[i].Id}' is also the id of {path}[{first}].", "Give each device its own id."));
        }

        return [.. faults, .. Clashes(devices, path)];
    }

    /// <summary>Devices of one cell that are on one wire and do not agree on it.</summary>
    /// <param name="devices">The devices.</param>
    /// <param name="path">Path of their list.</param>
    public static IReadOnlyList<ConfigurationFault> Clashes(IReadOnlyList<DeviceOptions> devices, string path)
    {
        List<ConfigurationFault> faults = [];
        for (int i = 0; i < devices.Count; i++)
            for (int j = 0; j < i; j++)
                if (Clash(devices[j], devices[i]) is { } clash) faults.Add(new($"{path}[{i}]", $"{clash} as {path}[{j}].", "A wire has one master and one speech: give the devices equal settings, or another wire."));
        return faults;
    }

    /// <summary>Devices of two cells that are on one wire: each cell polls by itself, so there would be two masters.</summary>
    /// <param name="one">Devices of one cell.</param>
    /// <param name="other">Devices of another.</param>
    /// <param name="pathOfOne">Path of the first list.</param>
    /// <param name="pathOfOther">Path of the second list.</param>
    public static IReadOnlyList<ConfigurationFault> Shared(
        IReadOnlyList<DeviceOptions> one, IReadOnlyList<DeviceOptions> other, string pathOfOne, string pathOfOther)
    {
        List<ConfigurationFault> faults = [];
        for (int i = 0; i < other.Count; i++)
        {
            int at = BusOf(other[i]) is not { } bus ? -1 : one.ToList().FindIndex(d => BusOf(d) == bus);
            if (at >= 0) faults.Add(new($"{pathOfOther}[{i}]", $"It is on the same wire as {pathOfOne}[{at}] of another cell.", "A wire has one master: put both devices into one cell, or give one another wire."));
        }

        return faults;
    }

    /// <summary>Name of the wire that a device shares with others; null if it has one to itself.</summary>
    public static string? BusOf(DeviceOptions options) => options switch
    {
        ModbusTcpDeviceOptions tcp => $"tcp {tcp.Host}:{tcp.Port}",
        ModbusRtuOverTcpDeviceOptions gateway => $"tcp {gateway.Host}:{gateway.Port}",
        ModbusRtuDeviceOptions rtu => $"serial {rtu.Serial.Port}",
        TextDeviceOptions { Serial: { } serial } => $"serial {serial.Port}",
        TextDeviceOptions text => $"tcp {text.Host}:{text.Port}",
        _ => null,
    };

    /// <summary>The driver of one wire and a seat for each of its devices.</summary>
    internal static (IConnection Connection, IBusDevice[] Seats) Build(IReadOnlyList<(DeviceOptions Options, int Index)> bus, TimeProvider time)
    {
        switch (bus[0].Options)
        {
            case TextDeviceOptions text:
                ILink link = text.Serial is { } serial ? SerialLinks.Create(serial, time) : new TcpLink(text.Host!, text.Port);
                return (link, [new TextDevice(bus[0].Index, text, link, time)]);
            case ReplayDeviceOptions replay:
                var recording = new ReplayDevice(bus[0].Index, replay, time);
                return (recording, [recording]);
            default:
                IModbusClient client = ClientFor([.. bus.Select(d => (ModbusDeviceOptions)d.Options)], time);
                return (client, [.. bus.Select(d => new ModbusDevice(d.Index, (ModbusDeviceOptions)d.Options, client))]);
        }
    }

    /// <summary>The client of one wire; a unit can be written only if its devices allow it, and all at once (unit 0 on a line) only if all do.</summary>
    internal static IModbusClient ClientFor(IReadOnlyList<ModbusDeviceOptions> onBus, TimeProvider time)
    {
        bool MayWrite(byte unit) => onBus.Where(d => d.Unit == unit || (unit == 0 && !d.UnitMayBeAbsent)).Select(d => d.AllowWrites).DefaultIfEmpty(false).All(allowed => allowed);
        int outstanding = onBus.OfType<ModbusTcpDeviceOptions>().Select(d => d.MaxOutstanding).DefaultIfEmpty(1).Min();
        return onBus[0] switch
        {
            ModbusTcpDeviceOptions tcp => new ModbusTcpClient(new TcpLink(tcp.Host, tcp.Port, outstanding > 1), time, outstanding, MayWrite),
            ModbusRtuOverTcpDeviceOptions gateway => new ModbusRtuClient(new TcpLink(gateway.Host, gateway.Port), time, TimeSpan.Zero, MayWrite),
            ModbusRtuDeviceOptions rtu => new ModbusRtuClient(SerialLinks.Create(rtu.Serial, time), time, rtu.Serial.FrameGap, MayWrite),
            _ => throw new NotSupportedException($"No driver for {onBus[0].GetType().Name}."),
        };
    }

    private static string? Clash(DeviceOptions one, DeviceOptions other)
    {
        if (BusOf(one) is not { } bus || bus != BusOf(other)) return null;
        if (one.GetType() != other.GetType() || one is TextDeviceOptions) return "It is on the same wire, but does not share its speech,";
        if (one is ModbusRtuDeviceOptions a && other is ModbusRtuDeviceOptions b && a.Serial != b.Serial) return "It is on the same port with other line settings";
        return null; // the same unit twice is fine: fast and slow points of one instrument
    }
}
