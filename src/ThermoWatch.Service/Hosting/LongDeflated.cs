using System.Net.WebSockets;

namespace ThermoWatch.Service.Hosting;

/// <summary>
/// A WebSocket whose short messages leave uncompressed: compressing a frame costs more than sending it, and saves a few
/// bytes. A send that is done at once, which nearly all are, pays nothing for being cancellable.
/// </summary>
internal sealed class LongDeflated : WebSocket
{
    /// <summary>Length in bytes from which compressing is worth its processor time: what one packet of Ethernet holds, headers taken off.</summary>
    public const int Long = 1400;
    private readonly WebSocket _inner;
    private bool _inMessage;

    public LongDeflated(WebSocket inner) => _inner = inner;

    public override WebSocketCloseStatus? CloseStatus => _inner.CloseStatus;

    public override string? CloseStatusDescription => _inner.CloseStatusDescription;

    public override WebSocketState State => _inner.State;

    public override string? SubProtocol => _inner.SubProtocol;

    public override ValueTask SendAsync(ReadOnlyMemory<byte> buffer, WebSocketMessageType messageType, bool endOfMessage, CancellationToken cancellationToken)
    {
        cancellationToken.ThrowIfCancellationRequested();
        // What comes in parts is long, and its parts must all go the same way.
        bool deflated = _inMessage || !endOfMessage || buffer.Length >= Long;
        _inMessage = !endOfMessage;
        WebSocketMessageFlags flags = (endOfMessage ? WebSocketMessageFlags.EndOfMessage : WebSocketMessageFlags.None)
            | (deflated ? WebSocketMessageFlags.None : WebSocketMessageFlags.DisableCompression);
        ValueTask sent = _inner.SendAsync(buffer, messageType, flags, CancellationToken.None);
        return sent.IsCompletedSuccessfully ? sent : UntilCancelledAsync(sent, cancellationToken);
    }

    public override Task SendAsync(ArraySegment<byte> buffer, WebSocketMessageType messageType, bool endOfMessage, CancellationToken cancellationToken) =>
        SendAsync(buffer.AsMemory(), messageType, endOfMessage, cancellationToken).AsTask();

    public override ValueTask<ValueWebSocketReceiveResult> ReceiveAsync(Memory<byte> buffer, CancellationToken cancellationToken) =>
        _inner.ReceiveAsync(buffer, cancellationToken);

    public override Task<WebSocketReceiveResult> ReceiveAsync(ArraySegment<byte> buffer, CancellationToken cancellationToken) =>
        _inner.ReceiveAsync(buffer, cancellationToken);

    public override Task CloseAsync(WebSocketCloseStatus closeStatus, string? statusDescription, CancellationToken cancellationToken) =>
        _inner.CloseAsync(closeStatus, statusDescription, cancellationToken);

    public override Task CloseOutputAsync(WebSocketCloseStatus closeStatus, string? statusDescription, CancellationToken cancellationToken) =>
        _inner.CloseOutputAsync(closeStatus, statusDescription, cancellationToken);

    public override void Abort() => _inner.Abort();

    public override void Dispose() => _inner.Dispose();

    /// <summary>Half a message cannot be taken back: who gives up on a send gives up on the connection, as the socket itself has it.</summary>
    private async ValueTask UntilCancelledAsync(ValueTask sent, CancellationToken cancellationToken)
    {
        try
        {
            await sent.AsTask().WaitAsync(cancellationToken);
        }
        catch (OperationCanceledException)
        {
            _inner.Abort();
            throw;
        }
    }
}
