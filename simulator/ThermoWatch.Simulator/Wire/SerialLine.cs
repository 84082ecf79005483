using System.Buffers.Binary;
using System.Collections.Frozen;
using System.Runtime.InteropServices;
using System.Text;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Parity of a serial line.</summary>
public enum LineParity
{
    /// <summary>None; Modbus then asks for two stop bits.</summary>
    None,

    /// <summary>Even, the default of Modbus.</summary>
    Even,

    /// <summary>Odd.</summary>
    Odd,
}

/// <summary>A serial port, or a pseudo-terminal whose other end stands in for one. Linux only.</summary>
public sealed class SerialLine : IDisposable
{
    // Speeds as Linux encodes them (asm-generic/termbits.h); other systems do not.
    private static readonly FrozenDictionary<int, uint> Speeds = new Dictionary<int, uint>
    {
        [1200] = 0x9,
        [2400] = 0xB,
        [4800] = 0xC,
        [9600] = 0xD,
        [19200] = 0xE,
        [38400] = 0xF,
        [57600] = 0x1001,
        [115200] = 0x1002,
    }.ToFrozenDictionary();

    private readonly int _fd;
    private readonly int _kept;

    private SerialLine(int fd, string name, int kept = -1)
    {
        _fd = fd;
        _kept = kept;
        Name = name;
    }

    /// <summary>What a master opens to talk to it.</summary>
    public string Name { get; }

    /// <summary>A new pseudo-terminal; <see cref="Name"/> is its other end.</summary>
    /// <exception cref="IOException">The system gives none.</exception>
    public static SerialLine NewPseudoTerminal()
    {
        RequireLinux();
        int master = Checked(Libc.OpenMaster(Libc.ReadWrite | Libc.NoControllingTerminal), "posix_openpt");
        Checked(Libc.Grant(master), "grantpt");
        Checked(Libc.Unlock(master), "unlockpt");
        byte[] name = new byte[64];
        Checked(Libc.SlaveName(master, name, (nuint)name.Length), "ptsname_r");
        string path = Encoding.UTF8.GetString(name.AsSpan(0, name.AsSpan().IndexOf((byte)0)));

        // Kept open at its other end too, or every read would fail until a master comes and again when it has gone.
        int kept = Checked(Libc.Open(PathBytes(path), Libc.ReadWrite | Libc.NoControllingTerminal), path);
        byte[] settings = Settings(kept, path);
        Checked(Libc.SetSettings(kept, 0, settings), path);
        return new(master, path, kept);
    }

    /// <summary>Opens a serial port with 8 data bits.</summary>
    /// <param name="path">Such as <c>/dev/ttyUSB0</c>.</param>
    /// <param name="baud">1200 to 115200.</param>
    /// <param name="parity">With none there are two stop bits.</param>
    /// <exception cref="IOException">There is no such port, or it cannot be set.</exception>
    public static SerialLine Open(string path, int baud, LineParity parity)
    {
        RequireLinux();
        if (!Speeds.TryGetValue(baud, out uint speed))
        {
            throw new IOException($"{baud} baud is not a usual speed. Use one of {string.Join(", ", Speeds.Keys.Order())}.");
        }

        int fd = Checked(Libc.Open(PathBytes(path), Libc.ReadWrite | Libc.NoControllingTerminal), path);
        byte[] settings = Settings(fd, path);
        Checked(Libc.SetSpeed(settings, speed), path);
        uint flags = BinaryPrimitives.ReadUInt32LittleEndian(settings.AsSpan(Libc.ControlFlagsAt));
        flags = (flags & ~(Libc.ParityEnabled | Libc.ParityOdd | Libc.TwoStopBits)) | parity switch
        {
            LineParity.Even => Libc.ParityEnabled,
            LineParity.Odd => Libc.ParityEnabled | Libc.ParityOdd,
            _ => Libc.TwoStopBits,
        };
        BinaryPrimitives.WriteUInt32LittleEndian(settings.AsSpan(Libc.ControlFlagsAt), flags);
        Checked(Libc.SetSettings(fd, 0, settings), path);
        return new(fd, path);
    }

    /// <summary>Reads what has come; 0 when nothing came in this time.</summary>
    /// <exception cref="IOException">The port is gone.</exception>
    public int Read(Span<byte> buffer, int timeoutMs)
    {
        var poll = new Libc.PollFd { Fd = _fd, Events = Libc.PollIn };
        if (Libc.Poll(ref poll, 1, timeoutMs) <= 0)
        {
            return 0; // nothing, or woken by a signal: the caller looks again
        }

        int read = Checked((int)Libc.Read(_fd, ref MemoryMarshal.GetReference(buffer), (nuint)buffer.Length), Name);
        return read > 0 ? read : throw new IOException($"{Name}: hung up.");
    }

    /// <summary>Writes all of it.</summary>
    /// <exception cref="IOException">The port is gone.</exception>
    public void Write(ReadOnlySpan<byte> bytes)
    {
        while (!bytes.IsEmpty)
        {
            bytes = bytes[Checked((int)Libc.Write(_fd, ref MemoryMarshal.GetReference(bytes), (nuint)bytes.Length), Name)..];
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _ = Libc.Close(_fd); // nothing can be done about a close that fails
        if (_kept >= 0)
        {
            _ = Libc.Close(_kept);
        }
    }

    private static byte[] Settings(int fd, string path)
    {
        byte[] settings = new byte[Libc.SettingsLength];
        Checked(Libc.GetSettings(fd, settings), path);
        Libc.MakeRaw(settings);
        return settings;
    }

    private static byte[] PathBytes(string path) => Encoding.UTF8.GetBytes(path + "\0");

    private static int Checked(int result, string what) =>
        result >= 0 ? result : throw new IOException($"{what}: {Marshal.GetLastPInvokeErrorMessage()}.");

    private static void RequireLinux()
    {
        if (!OperatingSystem.IsLinux())
        {
            throw new IOException("Serial lines of the simulator need Linux. Use the TCP face here.");
        }
    }
}
