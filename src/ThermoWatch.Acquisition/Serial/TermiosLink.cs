using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Runtime.Versioning;
using ThermoWatch.Acquisition.Links;
using static ThermoWatch.Acquisition.Serial.Libc;

namespace ThermoWatch.Acquisition.Serial;

/// <summary>A serial port on Linux by its own calls.</summary>
/// <remarks>
/// System.IO.Ports adds 2.2 ms to each exchange there, refuses odd baud rates and cannot set parity on pseudo-terminals.
/// The port is waited for together with an event, so that another thread can end the wait at once.
/// </remarks>
[SupportedOSPlatform("linux")]
internal sealed class TermiosLink(SerialSettings settings) : ILink
{
    private readonly Lock _gate = new();
    private readonly int _wake = EventFd(0, NonBlocking | CloseOnExec);
    private int _fd = -1;
    private volatile bool _aborted;
    private bool _disposed;

    public string Name => settings.Port;

    public bool IsOpen => _fd >= 0 && !_aborted;

    public LinkResult Open(TimeSpan timeout)
    {
        Close();
        if (_aborted) return LinkResult.Aborted;
        int fd = Libc.Open(settings.Port, ReadWrite | NoControllingTerminal | NonBlocking | CloseOnExec);
        if (fd < 0) return LinkResult.CannotOpen(PortTrouble.CannotOpen(settings.Port, Marshal.GetLastPInvokeError()));

        // Two masters on one line garble each other. The lock also keeps out programs of root, whom exclusive use does not.
        if (Lock(fd, LockExclusive | LockNonBlocking) < 0 || Ioctl(fd, ExclusiveUse, 0) < 0)
            return Refuse(fd, PortTrouble.CannotOpen(settings.Port, Marshal.GetLastPInvokeError()));
        if (!Configure(fd)) return Refuse(fd, PortTrouble.CannotConfigure(settings, Marshal.GetLastPInvokeError()));
        _fd = fd;
        Ioctl(fd, FlushTerminal, 0); // 0: what has come in
        return LinkResult.Done();
    }

    public LinkResult Write(ReadOnlySpan<byte> bytes, TimeSpan timeout)
    {
        while (!bytes.IsEmpty)
        {
            if (_fd < 0 || _aborted) return Gone();
            nint written = Libc.Write(_fd, in MemoryMarshal.GetReference(bytes), bytes.Length);
            if (written > 0)
            {
                bytes = bytes[(int)written..];
                continue;
            }

            int error = Marshal.GetLastPInvokeError();
            if (error is not (Again or Interrupted)) return Lost();
            LinkResult ready = Await(PollOut, timeout);
            if (ready.Status != LinkStatus.Done) return ready;
        }

        return LinkResult.Done();
    }

    public LinkResult Read(Span<byte> buffer, TimeSpan timeout)
    {
        if (_fd < 0 || _aborted) return Gone();
        LinkResult ready = Await(PollIn, timeout);
        if (ready.Status != LinkStatus.Done) return ready;
        nint count = Libc.Read(_fd, ref MemoryMarshal.GetReference(buffer), buffer.Length);
        if (count > 0) return LinkResult.Done((int)count);
        return count < 0 && Marshal.GetLastPInvokeError() is Again or Interrupted ? LinkResult.TimedOut : Lost();
    }

    public int TakeInput(Span<byte> buffer) =>
        _fd < 0 ? 0 : Math.Max(0, (int)Libc.Read(_fd, ref MemoryMarshal.GetReference(buffer), buffer.Length));

    public void Close()
    {
        if (_fd >= 0) Libc.Close(_fd);
        _fd = -1;
    }

    public void Abort()
    {
        lock (_gate)
        {
            _aborted = true;
            if (_disposed) return;
            ulong one = 1;
            _ = Libc.Write(_wake, in MemoryMarshal.AsBytes(MemoryMarshal.CreateReadOnlySpan(ref one, 1))[0], sizeof(ulong));
        }
    }

    public void Dispose()
    {
        lock (_gate)
        {
            if (_disposed) return;
            _disposed = _aborted = true;
            Close();
            _ = Libc.Close(_wake);
        }
    }

    private LinkResult Await(short what, TimeSpan timeout)
    {
        Span<PollFd> fds = [new() { Fd = _fd, Events = what }, new() { Fd = _wake, Events = PollIn }];
        long began = Stopwatch.GetTimestamp();
        int ready;
        TimeSpan left = timeout;
        do
        {
            var limit = new TimeSpec { Seconds = left.Ticks / TimeSpan.TicksPerSecond, Nanoseconds = left.Ticks % TimeSpan.TicksPerSecond * 100 };
            ready = Poll(ref fds[0], 2, ref limit, 0);
            if (_aborted) return LinkResult.Aborted;
            if (ready >= 0) break;
            if (Marshal.GetLastPInvokeError() != Interrupted) return Lost();

            // The runtime signals its own threads, for one when it collects garbage: that is not the end of the wait.
            left = timeout - Stopwatch.GetElapsedTime(began);
        }
        while (left > TimeSpan.Zero);

        if (ready <= 0) return LinkResult.TimedOut;
        if ((fds[0].Returned & what) != 0) return LinkResult.Done(); // bytes that came before a hang-up are still read
        return (fds[0].Returned & (PollHangUp | PollError | PollInvalid)) != 0 ? Lost() : LinkResult.TimedOut;
    }

    private bool Configure(int fd)
    {
        const uint any = 0x1000, inputShift = 16, receive = 0x80, ignoreModemLines = 0x800, twoStopBits = 0x40, parity = 0x100, odd = 0x200;
        Termios2 termios = default;
        if (Ioctl(fd, GetTermios2, ref termios) < 0) return false;
        termios.Input = termios.Output = termios.Local = 0; // raw: nothing is translated, echoed or taken for a signal
        termios.Control = any | (any << (int)inputShift) | receive | ignoreModemLines
            | (settings.DataBits == 7 ? 0x20u : 0x30u)
            | (settings.StopBits == 2 ? twoStopBits : 0)
            | settings.Parity switch { SerialParity.Even => parity, SerialParity.Odd => parity | odd, _ => 0 };
        termios.InputSpeed = termios.OutputSpeed = (uint)settings.Baud;
        return Ioctl(fd, SetTermios2, ref termios) >= 0;
    }

    private static LinkResult Refuse(int fd, string reason)
    {
        _ = Libc.Close(fd);
        return LinkResult.CannotOpen(reason);
    }

    private LinkResult Lost()
    {
        Close();
        return _aborted ? LinkResult.Aborted : LinkResult.Closed($"{Name} is gone. Check that the adapter is plugged in.");
    }

    private LinkResult Gone() => _aborted ? LinkResult.Aborted : LinkResult.Closed($"{Name} is closed.");
}
