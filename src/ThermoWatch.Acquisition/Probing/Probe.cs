using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Text;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>Asks a device once, and a few times more for its response times. Only reads; while the service polls the same wire it is held.</summary>
public static class Probe
{
    /// <summary>Probes one device.</summary>
    /// <param name="options">Valid options.</param>
    /// <param name="time">Clock of the deadlines.</param>
    /// <param name="answers">How many answers to time.</param>
    /// <param name="stop">Ends it early.</param>
    public static ProbeReport Run(DeviceOptions options, TimeProvider time, int answers, CancellationToken stop)
    {
        switch (options)
        {
            case ModbusRtuDeviceOptions rtu:
                return new ModbusProbe(rtu, settings => Wiring.ClientFor([rtu with { Serial = settings }], time), time, answers).Run(stop);
            case ModbusDeviceOptions modbus:
                return new ModbusProbe(modbus, _ => Wiring.ClientFor([modbus], time), time, answers).Run(stop);
            case TextDeviceOptions text:
                ILink link = text.Serial is { } serial ? SerialLinks.Create(serial, time) : new TcpLink(text.Host!, text.Port);
                return TextProbe.Run(text, link, time, stop);
            default:
                return new ProbeReport { Device = options.Id, Wire = "recording", Reached = true };
        }
    }
}
