namespace ThermoWatch.Acquisition.Links;

/// <summary>How a call on a link ended.</summary>
public enum LinkStatus
{
    /// <summary>Done.</summary>
    Done,

    /// <summary>Nothing came, or not everything went out, before the time was up.</summary>
    TimedOut,

    /// <summary>The other end closed the connection, or the adapter is gone.</summary>
    Closed,

    /// <summary>It could not be opened; the reason says why.</summary>
    CannotOpen,

    /// <summary>Somebody on our side aborted it.</summary>
    Aborted,
}

/// <summary>Outcome of a call on a link.</summary>
/// <param name="Status">How it ended.</param>
/// <param name="Count">Bytes read; 0 unless done.</param>
/// <param name="Reason">In plain words with a remedy; null when done or timed out.</param>
public readonly record struct LinkResult(LinkStatus Status, int Count = 0, string? Reason = null)
{
    /// <summary>Done, with this many bytes.</summary>
    public static LinkResult Done(int count = 0) => new(LinkStatus.Done, count);

    /// <summary>The time was up.</summary>
    public static LinkResult TimedOut => new(LinkStatus.TimedOut);

    /// <summary>Gone, and why.</summary>
    public static LinkResult Closed(string reason) => new(LinkStatus.Closed, 0, reason);

    /// <summary>Not opened, and why.</summary>
    public static LinkResult CannotOpen(string reason) => new(LinkStatus.CannotOpen, 0, reason);

    /// <summary>Aborted by us.</summary>
    public static LinkResult Aborted => new(LinkStatus.Aborted, 0, "stopped");
}

/// <summary>Something that can be connected, lost and connected again. Used by one thread; only <see cref="Abort"/> comes from others.</summary>
public interface IConnection : IDisposable
{
    /// <summary>For people: <c>192.0.2.7:502</c> or <c>/dev/ttyUSB0</c>.</summary>
    string Name { get; }

    /// <summary>Whether bytes can flow as far as is known.</summary>
    bool IsOpen { get; }

    /// <summary>Who else talks on it, in plain words with a remedy; null while nobody is heard.</summary>
    string? Disturbance => null;

    /// <summary>Opens it anew, after closing what was open.</summary>
    LinkResult Open(TimeSpan timeout);

    /// <summary>Closes it; it can be opened again.</summary>
    void Close();

    /// <summary>Ends a call that waits on another thread, and every later one, for good.</summary>
    void Abort();
}

/// <summary>A stream of bytes to an instrument: a socket or a serial port.</summary>
/// <remarks>
/// Calls block and take their own time limit: a line has one master, which can do nothing else while it waits,
/// and blocking costs less per poll than awaiting (benchmark topic <c>modbus</c>).
/// </remarks>
public interface ILink : IConnection
{
    /// <summary>Sends all the bytes.</summary>
    LinkResult Write(ReadOnlySpan<byte> bytes, TimeSpan timeout);

    /// <summary>Waits until at least one byte has come and takes what is there.</summary>
    LinkResult Read(Span<byte> buffer, TimeSpan timeout);

    /// <summary>Takes what has come and was not read, as far as it fits; how many bytes, 0 also when the link is gone. Does not wait.</summary>
    int TakeInput(Span<byte> buffer);

    /// <summary>Throws away what has come and was not read. Does not wait.</summary>
    void DiscardInput()
    {
        Span<byte> waste = stackalloc byte[256];

        // A peer that sends without end must not keep us here: the next read will find the rest.
        for (int i = 0; i < 64 && TakeInput(waste) > 0; i++)
        {
        }
    }
}
