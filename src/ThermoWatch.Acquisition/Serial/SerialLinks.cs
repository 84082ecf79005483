using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Serial;

/// <summary>Opens serial ports.</summary>
public static class SerialLinks
{
    /// <summary>A link on the port, not open yet, by the driver that the settings name.</summary>
    public static ILink Create(SerialSettings settings, TimeProvider time) => settings.Driver switch
    {
        SerialDriver.Automatic when OperatingSystem.IsLinux() => new TermiosLink(settings),
        SerialDriver.Native when OperatingSystem.IsLinux() => new TermiosLink(settings),
        _ => new PortableSerialLink(settings, time),
    };
}
