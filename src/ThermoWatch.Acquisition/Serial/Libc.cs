using System.Runtime.InteropServices;
using System.Runtime.Versioning;

namespace ThermoWatch.Acquisition.Serial;

/// <summary>The Linux calls of the native driver. Numbers: asm-generic headers, which x86-64 and arm64 share.</summary>
[SupportedOSPlatform("linux")]
internal static partial class Libc
{
    public const int ReadWrite = 0x2, NoControllingTerminal = 0x100, NonBlocking = 0x800, CloseOnExec = 0x80000;
    public const int LockExclusive = 2, LockNonBlocking = 4;
    public const short PollIn = 0x1, PollOut = 0x4, PollError = 0x8, PollHangUp = 0x10, PollInvalid = 0x20;
    public const nuint GetTermios2 = 0x802C542A, SetTermios2 = 0x402C542B, ExclusiveUse = 0x540C, FlushTerminal = 0x540B;
    public const int NoEntry = 2, IoError = 5, NoDeviceOrAddress = 6, Again = 11, AccessDenied = 13, Busy = 16, NoDevice = 19, NotATerminal = 25, Interrupted = 4;

    [LibraryImport("libc", EntryPoint = "open", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "close", SetLastError = true)]
    public static partial int Close(int fd);

    [LibraryImport("libc", EntryPoint = "read", SetLastError = true)]
    public static partial nint Read(int fd, ref byte buffer, nint count);

    [LibraryImport("libc", EntryPoint = "write", SetLastError = true)]
    public static partial nint Write(int fd, ref readonly byte buffer, nint count);

    [LibraryImport("libc", EntryPoint = "flock", SetLastError = true)]
    public static partial int Lock(int fd, int operation);

    [LibraryImport("libc", EntryPoint = "ioctl", SetLastError = true)]
    public static partial int Ioctl(int fd, nuint request, ref Termios2 settings);

    [LibraryImport("libc", EntryPoint = "ioctl", SetLastError = true)]
    public static partial int Ioctl(int fd, nuint request, nint argument);

    [LibraryImport("libc", EntryPoint = "ppoll", SetLastError = true)]
    public static partial int Poll(ref PollFd first, nuint count, ref TimeSpec timeout, nint signals);

    [LibraryImport("libc", EntryPoint = "eventfd", SetLastError = true)]
    public static partial int EventFd(uint initial, int flags);

    [StructLayout(LayoutKind.Sequential)]
    public struct PollFd
    {
        public int Fd;
        public short Events, Returned;
    }

    [StructLayout(LayoutKind.Sequential)]
    public struct TimeSpec
    {
        public long Seconds, Nanoseconds;
    }

    /// <summary>struct termios2 of asm-generic/termbits.h: unlike termios it carries any baud rate as a number.</summary>
    [StructLayout(LayoutKind.Sequential)]
    public unsafe struct Termios2
    {
        public uint Input, Output, Control, Local;
        public byte Line;
        public fixed byte Characters[19];
        public uint InputSpeed, OutputSpeed;
    }
}
