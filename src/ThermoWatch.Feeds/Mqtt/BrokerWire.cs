using System.Net;
using System.Net.Sockets;
using MQTTnet.Channel;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>
/// The bytes of a connection to a broker, below MQTT and its encryption. It reads ahead, so that a small packet is no call to the system of
/// its own, and while it is held, what is written gathers and leaves at once.
/// </summary>
/// <remarks>
/// Brokers send acknowledgements, of a few bytes each, with Nagle's algorithm on: the next one waits until we have acknowledged the one
/// before, and Linux takes 40 ms for that when it has nothing to send. So it is told to acknowledge what it has read.
/// </remarks>
internal sealed class BrokerWire(Socket socket) : Stream, IMqttClientStreamEndPoints
{
    // TCP_QUICKACK of Linux: IPPROTO_TCP 6, option 12.
    private const int TcpLevel = 6, QuickAck = 12, MostHeld = 16 << 10;
    private static readonly byte[] s_on = [1, 0, 0, 0];

    private readonly byte[] _read = new byte[16 << 10];
    private readonly Lock _gate = new();
    private readonly SemaphoreSlim _sending = new(1);
    private byte[] _gathered = new byte[2 * MostHeld], _leaving = new byte[2 * MostHeld];
    private int _readAt, _readEnd, _count;
    private bool _held;

    public EndPoint? LocalEndPoint => socket.LocalEndPoint;

    public EndPoint? RemoteEndPoint => socket.RemoteEndPoint;

    public override bool CanRead => true;

    public override bool CanWrite => true;

    public override bool CanSeek => false;

    public override long Length => throw new NotSupportedException();

    public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

    /// <summary>From now on what is written gathers, until 16 kB are there.</summary>
    public void Hold()
    {
        lock (_gate)
        {
            _held = true;
        }
    }

    /// <summary>What has gathered leaves; what is written from now on leaves by itself.</summary>
    /// <exception cref="IOException">The connection is broken.</exception>
    public Task ReleaseAsync(CancellationToken stopping)
    {
        lock (_gate)
        {
            _held = false;
        }

        return SendGatheredAsync(stopping);
    }

    /// <summary>What has gathered leaves.</summary>
    /// <exception cref="IOException">The connection is broken.</exception>
    public async Task SendGatheredAsync(CancellationToken stopping)
    {
        await _sending.WaitAsync(stopping).ConfigureAwait(false);
        try
        {
            while (true)
            {
                ReadOnlyMemory<byte> leaving;
                lock (_gate)
                {
                    if (_count == 0)
                    {
                        return;
                    }

                    leaving = _gathered.AsMemory(0, _count);
                    (_gathered, _leaving, _count) = (_leaving, _gathered, 0);
                }

                while (!leaving.IsEmpty)
                {
                    leaving = leaving[await socket.SendAsync(leaving, SocketFlags.None, stopping).ConfigureAwait(false)..];
                }

                AcknowledgeAtOnce(); // forgotten with each sending
            }
        }
        catch (Exception broken) when (broken is SocketException or ObjectDisposedException)
        {
            throw new IOException(broken.Message, broken);
        }
        catch (OperationCanceledException)
        {
            socket.Dispose(); // half a packet may have left: nothing can follow it
            throw;
        }
        finally
        {
            _sending.Release();
        }
    }

    public override ValueTask WriteAsync(ReadOnlyMemory<byte> buffer, CancellationToken cancellationToken = default)
    {
        lock (_gate)
        {
            if (_gathered.Length - _count < buffer.Length)
            {
                Array.Resize(ref _gathered, Math.Max(2 * _gathered.Length, _count + buffer.Length));
            }

            buffer.CopyTo(_gathered.AsMemory(_count));
            _count += buffer.Length;
            if (_held && _count < MostHeld)
            {
                return ValueTask.CompletedTask;
            }
        }

        return new ValueTask(SendGatheredAsync(cancellationToken));
    }

    public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
    {
        if (_readAt == _readEnd && !buffer.IsEmpty)
        {
            try
            {
                (_readAt, _readEnd) = (0, await socket.ReceiveAsync(_read, SocketFlags.None, cancellationToken).ConfigureAwait(false));
            }
            catch (SocketException broken)
            {
                throw new IOException(broken.Message, broken);
            }
        }

        int count = Math.Min(buffer.Length, _readEnd - _readAt);
        _read.AsMemory(_readAt, count).CopyTo(buffer);
        _readAt += count;
        return count;
    }

    public override Task FlushAsync(CancellationToken cancellationToken) => Task.CompletedTask; // nothing waits here unless it is held

    public override void Flush()
    {
    }

    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            socket.Dispose();
        }

        base.Dispose(disposing);
    }

    private void AcknowledgeAtOnce()
    {
        if (OperatingSystem.IsLinux())
        {
            socket.SetRawSocketOption(TcpLevel, QuickAck, s_on);
        }
    }
}

/// <summary>Opens the wires of one client.</summary>
internal sealed class BrokerWires : IMqttClientStreamProvider
{
    private BrokerWire? _newest;

    /// <summary>The wire that was opened last; null before the first.</summary>
    public BrokerWire? Newest => Volatile.Read(ref _newest);

    public async Task<Stream> ConnectAsync(EndPoint brokerEndPoint, CancellationToken cancellationToken)
    {
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(brokerEndPoint, cancellationToken).ConfigureAwait(false);
            var wire = new BrokerWire(socket);
            Volatile.Write(ref _newest, wire);
            return wire;
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }
}
