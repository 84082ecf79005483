using System.Net.WebSockets;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Tests.Hosting;

public sealed class LongDeflatedTests
{
    private const int Compressed = 0x40; // RSV1 of a frame's first byte: RFC 7692, 6
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    private static WebSocketDeflateOptions Deflate => new() { ServerMaxWindowBits = 12 };

    private static LongDeflated Server(Stream stream) =>
        new(WebSocket.CreateFromStream(stream, new WebSocketCreationOptions { IsServer = true, DangerousDeflateOptions = Deflate }));

    private static byte[] Text(int length) => [.. Enumerable.Range(0, length).Select(i => (byte)('a' + (i % 7)))];

    [Theory]
    [InlineData(1, false)]
    [InlineData(LongDeflated.Long - 1, false)]
    [InlineData(LongDeflated.Long, true)]
    [InlineData(60_000, true)]
    public async Task Only_a_long_message_is_compressed(int length, bool compressed)
    {
        using var wire = new MemoryStream();
        using LongDeflated server = Server(wire);
        await server.SendAsync(Text(length), WebSocketMessageType.Binary, endOfMessage: true, Cancellation);
        Assert.Equal(compressed, (wire.ToArray()[0] & Compressed) != 0);
        Assert.Equal(compressed, wire.Length < length);
    }

    [Fact]
    public async Task Short_long_and_divided_messages_in_turn_arrive_as_they_were()
    {
        byte[][] sent = [Text(90), Text(9000), Text(80), Text(5000), Text(70)];
        using var wire = new MemoryStream();
        using LongDeflated server = Server(wire);
        foreach (byte[] message in sent)
        {
            bool divided = message.Length == 5000;
            await server.SendAsync(divided ? message.AsMemory(0, 40) : message, WebSocketMessageType.Binary, endOfMessage: !divided, Cancellation);
            if (divided)
            {
                await server.SendAsync(message.AsMemory(40), WebSocketMessageType.Binary, endOfMessage: true, Cancellation);
            }
        }

        wire.Position = 0;
        using var client = WebSocket.CreateFromStream(wire, new WebSocketCreationOptions { DangerousDeflateOptions = Deflate });
        foreach (byte[] message in sent)
        {
            byte[] buffer = new byte[1 << 16];
            int length = 0;
            ValueWebSocketReceiveResult part;
            do
            {
                part = await client.ReceiveAsync(buffer.AsMemory(length), Cancellation);
                length += part.Count;
            }
            while (!part.EndOfMessage);
            Assert.Equal(message, buffer[..length]);
        }
    }

    [Fact]
    public async Task A_send_that_nobody_takes_can_be_given_up_and_the_connection_with_it()
    {
        using LongDeflated server = Server(new NeverTaking());
        using var giveUp = new CancellationTokenSource();
        ValueTask sending = server.SendAsync(Text(10).AsMemory(), WebSocketMessageType.Binary, endOfMessage: true, giveUp.Token);
        Assert.False(sending.IsCompleted);
        await giveUp.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(sending.AsTask);
        Assert.Equal(WebSocketState.Aborted, server.State);
    }

    /// <summary>A stream whose other end has fallen asleep.</summary>
    private sealed class NeverTaking : MemoryStream
    {
        public override ValueTask WriteAsync(ReadOnlyMemory<byte> buffer, CancellationToken cancellationToken = default) => new(new TaskCompletionSource().Task);
    }
}
