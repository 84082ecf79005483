using System.Globalization;
using System.Runtime.Versioning;

namespace ThermoWatch.Acquisition.Serial;

/// <summary>Why a port cannot be opened, in words that help: the error codes alone send people the wrong way.</summary>
internal static class PortTrouble
{
    [SupportedOSPlatform("linux")]
    public static string CannotOpen(string port, int error) => error switch
    {
        Libc.NoEntry or Libc.NoDevice or Libc.NoDeviceOrAddress or Libc.IoError => $"{port} is not there. Plug in the adapter, or choose another port{Present()}.",
        Libc.AccessDenied => $"No rights on {port}. Make the user that runs ThermoWatch a member of the group that owns the port (often dialout), then start it again.",
        Libc.Busy or Libc.Again => $"{port} is held by {Owner(port) ?? "another program"}. End that program, or give it another port.",
        Libc.NotATerminal => $"{port} is not a serial port. Choose another{Present()}.",
        _ => $"{port} cannot be used (error {error}). Check the adapter and its driver.",
    };

    [SupportedOSPlatform("linux")]
    public static string CannotConfigure(SerialSettings settings, int error) => error == Libc.NotATerminal
        ? CannotOpen(settings.Port, error)
        : $"{settings.Port} does not take {settings.Baud} Bd, {settings.DataBits} data bits, parity {settings.Parity}, {settings.StopBits} stop bits (error {error}). Choose settings that the adapter has.";

    /// <summary>Names and numbers of the programs that have a port open; null if it cannot be told.</summary>
    public static string? Owner(string port)
    {
        List<string> owners = [];
        try
        {
            string target = Real(port);
            foreach (string process in Directory.EnumerateDirectories("/proc"))
            {
                if (!int.TryParse(Path.GetFileName(process), CultureInfo.InvariantCulture, out int id)) continue;
                if (Opens(process, target)) owners.Add($"{File.ReadAllText(Path.Combine(process, "comm")).Trim()} (process {id})");
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // A process that ended while we looked, or a system without /proc.
        }

        return owners.Count == 0 ? null : string.Join(" and ", owners);
    }

    private static bool Opens(string process, string target)
    {
        try
        {
            return Directory.EnumerateFiles(Path.Combine(process, "fd")).Any(fd => new FileInfo(fd).LinkTarget == target);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false; // another user's process
        }
    }

    private static string Real(string port) =>
        File.ResolveLinkTarget(port, returnFinalTarget: true)?.FullName ?? port;

    private static string Present()
    {
        const string stable = "/dev/serial/by-id";
        string[] ports = Directory.Exists(stable) ? Directory.GetFiles(stable) : [];
        return ports.Length == 0 ? " (no USB adapter is plugged in)" : $" (there are {string.Join(", ", ports)})";
    }
}
