using System.Net;
using System.Net.Sockets;
using CsCheck;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>The bytes of a connection, with a plain socket for the broker.</summary>
public sealed class BrokerWireTests
{
    private static async Task<(BrokerWire Wire, Socket Broker)> PairAsync()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        var wires = new BrokerWires();
        await wires.ConnectAsync(listener.LocalEndpoint, TestContext.Current.CancellationToken);
        return (wires.Newest!, await listener.AcceptSocketAsync(TestContext.Current.CancellationToken));
    }

    private static async Task<byte[]> ReadAsync(Socket from, int count)
    {
        byte[] bytes = new byte[count];
        for (int at = 0; at < count;)
        {
            int read = await from.ReceiveAsync(bytes.AsMemory(at), TestContext.Current.CancellationToken);
            Assert.NotEqual(0, read);
            at += read;
        }

        return bytes;
    }

    [Fact]
    public async Task What_is_written_while_it_is_held_leaves_when_it_is_released()
    {
        (BrokerWire wire, Socket broker) = await PairAsync();
        using Socket disposed = broker;
        await using BrokerWire ended = wire;
        wire.Hold();
        await wire.WriteAsync(new byte[] { 1, 2 }, TestContext.Current.CancellationToken);
        await wire.WriteAsync(new byte[] { 3 }, TestContext.Current.CancellationToken);
        Assert.False(broker.Poll(TimeSpan.FromMilliseconds(20), SelectMode.SelectRead));
        await wire.ReleaseAsync(TestContext.Current.CancellationToken);
        Assert.Equal([1, 2, 3], await ReadAsync(broker, 3));
        await wire.WriteAsync(new byte[] { 4 }, TestContext.Current.CancellationToken);
        Assert.Equal([4], await ReadAsync(broker, 1));
    }

    [Fact]
    public async Task A_held_wire_keeps_no_more_than_its_share_of_memory()
    {
        (BrokerWire wire, Socket broker) = await PairAsync();
        using Socket disposed = broker;
        await using BrokerWire ended = wire;
        wire.Hold();
        byte[] part = new byte[1000];
        for (int i = 0; i < 17; i++)
        {
            await wire.WriteAsync(part, TestContext.Current.CancellationToken);
        }

        Assert.Equal(17_000, (await ReadAsync(broker, 17_000)).Length);
    }

    [Fact]
    public async Task All_bytes_arrive_in_order_whatever_the_sizes_in_both_directions()
    {
        await Gen.Select(Gen.Int[1, 40_000], Gen.Int[0, 3]).Array[1, 30].SampleAsync(
            async script =>
            {
                (BrokerWire wire, Socket broker) = await PairAsync();
                using Socket disposed = broker;
                await using BrokerWire ended = wire;
                int total = script.Sum(s => s.Item1);
                byte[] sent = new byte[total];
                new Random(total).NextBytes(sent);
                Task<byte[]> heard = ReadAsync(broker, total);
                int at = 0;
                foreach ((int size, int deed) in script)
                {
                    if (deed == 0)
                    {
                        wire.Hold();
                    }

                    await wire.WriteAsync(sent.AsMemory(at, size), TestContext.Current.CancellationToken);
                    at += size;
                    if (deed == 1)
                    {
                        await wire.ReleaseAsync(TestContext.Current.CancellationToken);
                    }
                }

                await wire.ReleaseAsync(TestContext.Current.CancellationToken);
                byte[] there = await heard;
                Assert.Equal(sent, there);

                Task answering = Task.Run(async () =>
                {
                    for (int from = 0; from < total;)
                    {
                        from += await broker.SendAsync(there.AsMemory(from, Math.Min(5000, total - from)));
                    }
                });
                byte[] back = new byte[total];
                int place = 0;
                for (int i = 0; place < total; i = (i + 1) % script.Length)
                {
                    int read = await wire.ReadAsync(back.AsMemory(place, Math.Min(script[i].Item1, total - place)), TestContext.Current.CancellationToken);
                    Assert.NotEqual(0, read);
                    place += read;
                }

                await answering;
                Assert.Equal(sent, back);
            },
            iter: 30);
    }

    [Fact]
    public async Task A_sending_that_is_given_up_ends_the_connection_because_half_a_packet_may_have_left()
    {
        (BrokerWire wire, Socket broker) = await PairAsync();
        using Socket disposed = broker;
        await using BrokerWire ended = wire;
        using var soon = new CancellationTokenSource(TimeSpan.FromMilliseconds(50));
        await Assert.ThrowsAnyAsync<OperationCanceledException>(async () =>
        {
            while (true)
            {
                await wire.WriteAsync(new byte[1 << 20], soon.Token); // nobody reads: the system's memory fills up
            }
        });
        await Assert.ThrowsAsync<IOException>(async () => await wire.WriteAsync(new byte[] { 1 }, TestContext.Current.CancellationToken));
    }
}
