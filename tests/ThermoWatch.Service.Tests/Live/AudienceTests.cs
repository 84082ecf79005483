using Microsoft.AspNetCore.SignalR.Protocol;
using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Service.Live;
using static ThermoWatch.Service.Tests.Live.ListeningPage;

namespace ThermoWatch.Service.Tests.Live;

public sealed class AudienceTests
{
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Each_of_many_viewers_is_told_everything_once_and_in_order()
    {
        Audience audience = new Viewers(NullLogger.Instance).Of(1);
        CellState first = State(1);
        ListeningPage[] pages = [.. Enumerable.Range(0, 100).Select(_ => new ListeningPage())];
        Assert.All(pages, page => Assert.Same(first, audience.Add(page.Server, () => first, changes: false)));
        for (long seq = 2; seq <= 50; seq++)
        {
            audience.Tell([Frame(seq)], [], seq == 50 ? State(50) : null);
        }

        string[] all = [.. Enumerable.Range(2, 49).Select(i => $"scan {i}"), "state 50"];
        foreach (ListeningPage page in pages)
        {
            Assert.Equal(all, await page.ReadAsync(50, Cancellation));
            Assert.Empty(page.Read());
            await page.DisposeAsync();
        }
    }

    [Fact]
    public async Task A_viewer_that_begins_while_a_state_is_published_has_that_one_or_is_told()
    {
        Audience audience = new(1, NullLogger.Instance);
        CellState old = State(5), next = State(6);
        await using ListeningPage before = new(), after = new();
        audience.Add(before.Server, () => old, changes: true);
        audience.Tell([], [], next);
        Assert.Equal(["change 5-6"], await before.ReadAsync(1, Cancellation));
        audience.Add(after.Server, () => next, changes: true);
        audience.Tell([Frame(7)], [], null);
        Assert.Equal(["scan 7"], await after.ReadAsync(1, Cancellation));
    }

    [Fact]
    public async Task More_than_a_minute_of_frames_at_once_is_a_hole_that_viewers_are_told_of()
    {
        Audience audience = new(1, NullLogger.Instance);
        await using ListeningPage page = new();
        audience.Add(page.Server, () => State(3), changes: false);
        audience.Tell([.. Enumerable.Range(4, Audience.Waiting + 1).Select(i => Frame(i))], [], State(700));
        Assert.Equal(["missed 3", "state 700"], await page.ReadAsync(2, Cancellation));
        audience.Tell([Frame(701)], [], null);
        Assert.Equal(["scan 701"], await page.ReadAsync(1, Cancellation));
    }

    [Fact]
    public async Task Who_leaves_or_is_lost_is_told_nothing_more()
    {
        Viewers viewers = new(NullLogger.Instance);
        await using ListeningPage stays = new(), leaves = new(), lost = new();
        foreach (ListeningPage page in (ListeningPage[])[stays, leaves, lost])
        {
            viewers.Of(1).Add(page.Server, () => State(1), changes: false);
        }

        TaskCompletionSource gone = new();
        lost.Server.ConnectionAborted.Register(gone.SetResult);
        Assert.Equal(3, viewers.Count);
        viewers.Of(1).Remove(leaves.Server.ConnectionId);
        lost.Server.Abort();
        await gone.Task.WaitAsync(Cancellation);
        viewers.Of(1).Tell([Frame(2)], [], null);
        Assert.Equal(["scan 2"], await stays.ReadAsync(1, Cancellation));
        Assert.Empty(leaves.Read());
        Assert.Empty(lost.Read());
    }

    [Fact]
    public void A_packet_is_written_once_for_all_who_speak_its_protocol_and_is_what_the_protocol_itself_writes()
    {
        HubPacket packet = new LiveNews([Frame(1), Frame(2)], [Mark(1)], State(2), lost: false).Whole;
        foreach (IHubProtocol protocol in (IHubProtocol[])[new JsonHubProtocol(), new MessagePackHubProtocol()])
        {
            ReadOnlyMemory<byte>[] alone =
            [
                protocol.GetMessageBytes(new InvocationMessage("scan", [1, 1L, 100.0, Frame(1).Data])),
                protocol.GetMessageBytes(new InvocationMessage("scan", [1, 2L, 200.0, Frame(2).Data])),
                protocol.GetMessageBytes(new InvocationMessage("mark", [Mark(1)])),
                protocol.GetMessageBytes(new InvocationMessage("state", [State(2)])),
            ];
            Assert.Equal(alone.SelectMany(bytes => bytes.ToArray()), packet.In(protocol).GetSerializedMessage(protocol).ToArray());
            Assert.Same(packet.In(protocol), packet.In(protocol));
        }
    }

    /// <summary>What a scan of sixteen channels may weigh on the hub: 100 bytes.</summary>
    [Fact]
    public void A_frame_of_sixteen_channels_weighs_less_than_a_hundred_bytes()
    {
        ScanFrame frame = new() { Cell = 1, Seq = 3_000_000_000, T = 1_800_000_000_123.4, Data = new byte[(16 * 4) + 4] };
        const int SocketHeader = 2;
        var protocol = new MessagePackHubProtocol();
        int bytes = new LiveNews([frame], [], null, lost: false).Readings!.In(protocol).GetSerializedMessage(protocol).Length + SocketHeader;
        Assert.InRange(bytes, 80, 100);
    }
}
