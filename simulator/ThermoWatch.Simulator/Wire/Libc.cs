using System.Runtime.InteropServices;

namespace ThermoWatch.Simulator.Wire;

/// <summary>What serial lines and pseudo-terminals need of the C library on Linux (glibc, musl).</summary>
/// <remarks>The terminal settings are left to the library in a buffer larger than they are, except the control flags, which stand at byte 8.</remarks>
internal static class Libc
{
    public const int ReadWrite = 2;
    public const int NoControllingTerminal = 0x100;
    public const short PollIn = 1;
    public const int SettingsLength = 128;
    public const int ControlFlagsAt = 8;
    public const uint ParityEnabled = 0x100, ParityOdd = 0x200, TwoStopBits = 0x40;

    [StructLayout(LayoutKind.Sequential)]
    public struct PollFd
    {
        public int Fd;
        public short Events;
        public short Happened;
    }

    [DllImport("libc", EntryPoint = "open", SetLastError = true)]
    public static extern int Open(byte[] path, int flags);

    [DllImport("libc", EntryPoint = "close", SetLastError = true)]
    public static extern int Close(int fd);

    [DllImport("libc", EntryPoint = "poll", SetLastError = true)]
    public static extern int Poll(ref PollFd fd, nuint count, int timeoutMs);

    [DllImport("libc", EntryPoint = "read", SetLastError = true)]
    public static extern nint Read(int fd, ref byte buffer, nuint count);

    [DllImport("libc", EntryPoint = "write", SetLastError = true)]
    public static extern nint Write(int fd, ref byte buffer, nuint count);

    [DllImport("libc", EntryPoint = "posix_openpt", SetLastError = true)]
    public static extern int OpenMaster(int flags);

    [DllImport("libc", EntryPoint = "grantpt", SetLastError = true)]
    public static extern int Grant(int fd);

    [DllImport("libc", EntryPoint = "unlockpt", SetLastError = true)]
    public static extern int Unlock(int fd);

    [DllImport("libc", EntryPoint = "ptsname_r", SetLastError = true)]
    public static extern int SlaveName(int fd, byte[] buffer, nuint length);

    [DllImport("libc", EntryPoint = "tcgetattr", SetLastError = true)]
    public static extern int GetSettings(int fd, byte[] settings);

    [DllImport("libc", EntryPoint = "tcsetattr", SetLastError = true)]
    public static extern int SetSettings(int fd, int when, byte[] settings);

    [DllImport("libc", EntryPoint = "cfmakeraw")]
    public static extern void MakeRaw(byte[] settings);

    [DllImport("libc", EntryPoint = "cfsetspeed", SetLastError = true)]
    public static extern int SetSpeed(byte[] settings, uint speed);
}
