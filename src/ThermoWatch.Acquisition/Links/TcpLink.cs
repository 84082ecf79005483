using System.Net;
using System.Net.Sockets;

namespace ThermoWatch.Acquisition.Links;

/// <summary>A TCP connection to a device or a serial gateway.</summary>
/// <param name="host">Name or number address.</param>
/// <param name="port">TCP port.</param>
/// <param name="manyOutstanding">Whether several requests will be on their way at once.</param>
public sealed class TcpLink(string host, int port, bool manyOutstanding = false) : ILink
{
    // TCP_QUICKACK of Linux: IPPROTO_TCP 6, option 12.
    private const int TcpLevel = 6, QuickAck = 12;
    private static readonly byte[] On = [1, 0, 0, 0];
    private readonly Lock _gate = new();
    private Socket? _socket;
    private bool _aborted;
    private int _receiveTimeoutMs;

    /// <inheritdoc/>
    public string Name { get; } = $"{host}:{port}";

    /// <inheritdoc/>
    public bool IsOpen => _socket is not null && !_aborted;

    /// <inheritdoc/>
    public LinkResult Open(TimeSpan timeout)
    {
        Close();
        if (Resolve(timeout) is not { } address)
            return LinkResult.CannotOpen($"The name {host} is not known here. Check the spelling, or write the number address.");
        var socket = new Socket(address.AddressFamily, SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        if (!Adopt(socket)) return LinkResult.Aborted;

        // A blocking connect has no time limit of its own (the system's is minutes): closing the socket ends it.
        bool expired = false;
        using var watchdog = new CancellationTokenSource(timeout);
        using CancellationTokenRegistration closing = watchdog.Token.Register(() =>
        {
            Volatile.Write(ref expired, true);
            socket.Dispose();
        });
        try
        {
            socket.Connect(new IPEndPoint(address, port));
            socket.SendTimeout = Milliseconds(timeout);
            KeepAlive(socket);
            _receiveTimeoutMs = 0;
            return LinkResult.Done();
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            Close();
            if (_aborted) return LinkResult.Aborted;
            return LinkResult.CannotOpen(Volatile.Read(ref expired)
                ? $"{Name} does not answer within {timeout.TotalSeconds:0.###} s. Check that the device is on, the cable, and the address."
                : Why((e as SocketException)?.SocketErrorCode ?? SocketError.SocketError));
        }
    }

    /// <inheritdoc/>
    public LinkResult Write(ReadOnlySpan<byte> bytes, TimeSpan timeout)
    {
        Socket? socket = _socket;
        if (socket is null) return NotOpen();
        try
        {
            while (!bytes.IsEmpty)
            {
                int sent = socket.Send(bytes, SocketFlags.None, out SocketError error);
                if (error != SocketError.Success) return Failed(error);
                bytes = bytes[sent..];
            }

            // A slave that waits for an acknowledgement before its next small segment, as most do, would wait for our delayed one:
            // 40 ms for a few replies. Linux then acknowledges what has been read, but forgets the option when we send.
            if (manyOutstanding && OperatingSystem.IsLinux()) socket.SetRawSocketOption(TcpLevel, QuickAck, On);
            return LinkResult.Done();
        }
        catch (ObjectDisposedException)
        {
            return NotOpen();
        }
    }

    /// <inheritdoc/>
    public LinkResult Read(Span<byte> buffer, TimeSpan timeout)
    {
        Socket? socket = _socket;
        if (socket is null) return NotOpen();
        try
        {
            int milliseconds = Milliseconds(timeout);
            if (milliseconds != _receiveTimeoutMs)
            {
                socket.ReceiveTimeout = milliseconds;
                _receiveTimeoutMs = milliseconds;
            }

            int count = socket.Receive(buffer, SocketFlags.None, out SocketError error);
            if (error is SocketError.TimedOut or SocketError.WouldBlock) return LinkResult.TimedOut;
            if (error != SocketError.Success) return Failed(error);
            if (count > 0) return LinkResult.Done(count);
            Close();
            return _aborted ? LinkResult.Aborted : LinkResult.Closed($"{Name} closed the connection. If this repeats, check whether another program uses the device: many allow only one.");
        }
        catch (ObjectDisposedException)
        {
            return NotOpen();
        }
    }

    /// <inheritdoc/>
    public int TakeInput(Span<byte> buffer)
    {
        Socket? socket = _socket;
        try
        {
            return socket is null || socket.Available == 0 ? 0 : socket.Receive(buffer, SocketFlags.None, out _);
        }
        catch (Exception e) when (e is ObjectDisposedException or SocketException)
        {
            return 0; // gone: the next read or write says so, with its reason
        }
    }

    /// <inheritdoc/>
    public void Close()
    {
        lock (_gate)
        {
            _socket?.Dispose();
            _socket = null;
        }
    }

    /// <inheritdoc/>
    public void Abort()
    {
        lock (_gate)
        {
            _aborted = true;
            _socket?.Dispose();
        }
    }

    /// <inheritdoc/>
    public void Dispose() => Abort();

    private bool Adopt(Socket socket)
    {
        lock (_gate)
        {
            if (_aborted)
            {
                socket.Dispose();
                return false;
            }

            _socket = socket;
            return true;
        }
    }

    private IPAddress? Resolve(TimeSpan timeout)
    {
        if (IPAddress.TryParse(host, out IPAddress? address)) return address;
        try
        {
            // A resolver without an answer takes its own time; the task is left behind.
            Task<IPAddress[]> resolving = Dns.GetHostAddressesAsync(host);
            return resolving.Wait(timeout) ? resolving.Result.FirstOrDefault() : null;
        }
        catch (AggregateException e) when (e.InnerException is SocketException or ArgumentException)
        {
            return null;
        }
    }

    // A peer that loses power says nothing: between polls these probes find out, and during polls our own time-outs do.
    private static void KeepAlive(Socket socket)
    {
        socket.SetSocketOption(SocketOptionLevel.Socket, SocketOptionName.KeepAlive, true);
        socket.SetSocketOption(SocketOptionLevel.Tcp, SocketOptionName.TcpKeepAliveTime, 5);
        socket.SetSocketOption(SocketOptionLevel.Tcp, SocketOptionName.TcpKeepAliveInterval, 2);
        socket.SetSocketOption(SocketOptionLevel.Tcp, SocketOptionName.TcpKeepAliveRetryCount, 3);
    }

    private LinkResult Failed(SocketError error)
    {
        if (error is SocketError.TimedOut or SocketError.WouldBlock) return LinkResult.TimedOut;
        Close();
        return _aborted ? LinkResult.Aborted : LinkResult.Closed(Why(error));
    }

    private LinkResult NotOpen() => _aborted ? LinkResult.Aborted : LinkResult.Closed($"{Name} is not connected.");

    private string Why(SocketError error) => error switch
    {
        SocketError.ConnectionRefused => $"{Name} refuses the connection: nothing listens on port {port} there, or it serves another program. Check the port and whether Modbus or the gateway is switched on.",
        SocketError.HostUnreachable or SocketError.NetworkUnreachable or SocketError.HostNotFound =>
            $"{Name} cannot be reached from this computer. Check the cable, the address and the network settings.",
        SocketError.ConnectionReset or SocketError.ConnectionAborted or SocketError.Shutdown =>
            $"{Name} broke the connection. If this repeats, check the device and whether another program uses it.",
        SocketError.AccessDenied => $"This computer forbids the connection to {Name}. Check its firewall.",
        _ => $"The connection to {Name} failed ({error}). Check the cable and the device.",
    };

    private static int Milliseconds(TimeSpan span) => Math.Max(1, (int)Math.Ceiling(span.TotalMilliseconds)); // 0 would mean for ever
}
