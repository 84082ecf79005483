using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Text;

namespace ThermoWatch.Acquisition.Probing;

/// <summary>Asks a device once, and a few times more for its response times. Only reads.</summary>
/// <remarks>Opens the wire by itself. A wire that this process polls is probed by <see cref="AcquisitionRunner.Probe"/> instead.</remarks>
public static class Probe
{
    /// <summary>Probes one device.</summary>
    /// <param name="options">Valid options.</param>
    /// <param name="time">Clock of the deadlines.</param>
    /// <param name="answers">How many answers to time.</param>
    /// <param name="stop">Ends it early; the report then holds what was found so far.</param>
    /// <param name="progress">Told what it is doing, on the caller's thread.</param>
    public static ProbeReport Run(DeviceOptions options, TimeProvider time, int answers, CancellationToken stop, IProgress<ProbeProgress>? progress = null)
    {
        switch (options)
        {
            case ModbusRtuDeviceOptions rtu:
                return new ModbusProbe(rtu, settings => Wiring.ClientFor([rtu with { Serial = settings }], time), time, answers, progress).Run(stop);
            case ModbusDeviceOptions modbus:
                return new ModbusProbe(modbus, _ => Wiring.ClientFor([modbus], time), time, answers, progress).Run(stop);
            case TextDeviceOptions text:
                ILink link = text.Serial is { } serial ? SerialLinks.Create(serial, time) : new TcpLink(text.Host!, text.Port);
                return TextProbe.Run(text, link, time, stop, progress);
            default:
                return ReplayProbe.Run((ReplayDeviceOptions)options);
        }
    }
}
