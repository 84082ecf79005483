using System.IO.Ports;
using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Serial;

/// <summary>A serial port by System.IO.Ports: for Windows, and elsewhere on choice.</summary>
internal sealed class PortableSerialLink : ILink
{
    /// <summary>How much longer than its time limit a call may take before the port is closed under it.</summary>
    /// <remarks>The driver keeps time limits itself; this is for one that hangs, and must not fire because the computer is busy.</remarks>
    private static readonly TimeSpan Grace = TimeSpan.FromSeconds(1);

    private readonly SerialSettings _settings;
    private readonly ITimer _watchdog;
    private readonly Lock _gate = new();
    private SerialPort? _port;
    private volatile bool _aborted, _hung;

    public PortableSerialLink(SerialSettings settings, TimeProvider time)
    {
        _settings = settings;

        // Drivers exist whose reads never return, whatever time limit they were given.
        _watchdog = time.CreateTimer(_ => CloseHung(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    /// <summary>The driver's read; another stands in for a driver that does not come back.</summary>
    internal Func<SerialPort, byte[], int> ReadFrom { get; init; } = static (port, bytes) => port.Read(bytes, 0, bytes.Length);

    public string Name => _settings.Port;

    public bool IsOpen => _port is not null && !_aborted;

    public LinkResult Open(TimeSpan timeout)
    {
        Close();
        if (_aborted) return LinkResult.Aborted;
        var port = new SerialPort(_settings.Port, _settings.Baud, ParityOf(_settings.Parity), _settings.DataBits, (StopBits)_settings.StopBits);
        try
        {
            port.Open();
        }
        catch (Exception e) when (e is UnauthorizedAccessException or IOException or ArgumentException or InvalidOperationException)
        {
            port.Dispose();
            return LinkResult.CannotOpen(Why(e));
        }

        _hung = false;
        lock (_gate) _port = port;
        return LinkResult.Done();
    }

    public LinkResult Write(ReadOnlySpan<byte> bytes, TimeSpan timeout)
    {
        byte[] copy = bytes.ToArray();
        return Guarded(timeout, port =>
        {
            port.WriteTimeout = Milliseconds(timeout);
            port.Write(copy, 0, copy.Length);
            return copy.Length;
        });
    }

    public LinkResult Read(Span<byte> buffer, TimeSpan timeout)
    {
        byte[] copy = new byte[buffer.Length];
        LinkResult read = Guarded(timeout, port =>
        {
            port.ReadTimeout = Milliseconds(timeout);
            return ReadFrom(port, copy);
        });
        copy.AsSpan(0, read.Count).CopyTo(buffer);
        return read;
    }

    public int TakeInput(Span<byte> buffer)
    {
        byte[] copy = new byte[buffer.Length];
        LinkResult taken = Guarded(Grace, port => port.BytesToRead == 0 ? 0 : port.Read(copy, 0, copy.Length));
        copy.AsSpan(0, taken.Count).CopyTo(buffer);
        return taken.Count;
    }

    public void Close()
    {
        lock (_gate)
        {
            try
            {
                _port?.Dispose();
            }
            catch (IOException)
            {
                // The adapter is gone, and with it whatever there was to close.
            }

            _port = null;
        }
    }

    public void Abort()
    {
        _aborted = true;
        Close();
    }

    public void Dispose()
    {
        Abort();
        _watchdog.Dispose();
    }

    private LinkResult Guarded(TimeSpan timeout, Func<SerialPort, int> call)
    {
        SerialPort? port = _port;
        if (port is null || _aborted) return Gone();
        _watchdog.Change(timeout + Grace, Timeout.InfiniteTimeSpan);
        try
        {
            return LinkResult.Done(call(port));
        }
        catch (TimeoutException)
        {
            return LinkResult.TimedOut;
        }
        catch (Exception e) when (e is IOException or InvalidOperationException or UnauthorizedAccessException or OperationCanceledException)
        {
            Close();
            return Gone();
        }
        finally
        {
            _watchdog.Change(Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        }
    }

    private void CloseHung()
    {
        _hung = true;
        Close();
    }

    private LinkResult Gone() => _aborted ? LinkResult.Aborted : LinkResult.Closed(_hung
        ? $"The driver of {Name} did not come back from a call, so the port was closed; it is opened again. If this repeats, update the adapter's driver."
        : $"{Name} is gone. Check that the adapter is plugged in.");

    private string Why(Exception e) => e switch
    {
        UnauthorizedAccessException when PortTrouble.Owner(Name) is { } owner => $"{Name} is held by {owner}. End that program, or give it another port.",
        UnauthorizedAccessException => $"{Name} cannot be used: it is not there, another program holds it, or the rights are missing. Check the three in this order.",
        ArgumentException => $"{Name} does not take {_settings.Baud} Bd, {_settings.DataBits} data bits, parity {_settings.Parity}, {_settings.StopBits} stop bits. Choose settings that the adapter has.",
        _ => $"{Name} is not there. Plug in the adapter, or choose another port (there are: {string.Join(", ", SerialPort.GetPortNames())}).",
    };

    private static Parity ParityOf(SerialParity parity) => parity switch
    {
        SerialParity.Even => Parity.Even,
        SerialParity.Odd => Parity.Odd,
        _ => Parity.None,
    };

    private static int Milliseconds(TimeSpan span) => Math.Max(1, (int)Math.Ceiling(span.TotalMilliseconds));
}
