using System.Diagnostics;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>How many messages are on the way, what becomes of them, and how long a few of them take.</summary>
public sealed class BrokerLinkTests
{
    private static BrokerMessage[] Messages(int count) => [.. Enumerable.Range(0, count).Select(i => new BrokerMessage("plant/m", BitConverter.GetBytes(i), false, 1))];

    private static async Task<BrokerLink> ConnectedAsync(Broker broker)
    {
        var link = new BrokerLink(broker);
        Assert.Null(await link.ConnectAsync(new BrokerMessage("plant/status", [0], false, 0), TestContext.Current.CancellationToken));
        return link;
    }

    [Theory]
    [InlineData(16, 3, 3)]
    [InlineData(4, 100, 4)]
    public async Task Never_more_are_on_the_way_than_the_window_and_the_broker_allow(int window, int granted, int expected)
    {
        await using var broker = new ScriptedBroker(granted);
        await using BrokerLink link = await ConnectedAsync(new Broker("127.0.0.1", broker.Port) { Window = window });
        Task<Delivery?> publishing = link.PublishAsync(Messages(10), TestContext.Current.CancellationToken);
        for (int taken = 0; taken < 10;)
        {
            int there = await broker.SettledAsync(Math.Min(10, taken + 1));
            Assert.InRange(there - taken, 1, expected);
            Assert.False(publishing.IsCompleted); // not before the last is acknowledged
            await broker.AcknowledgeAsync(there - taken);
            taken = there;
        }

        Assert.Null(await publishing);
        Assert.Equal(Enumerable.Range(0, 10), broker.Published.Select(p => BitConverter.ToInt32(p.Payload)));
        Assert.Equal(10, broker.Published.Select(p => p.Id).Distinct().Count());
    }

    [Theory]
    [InlineData(0x87, DeliveryOutcome.Refused, "The broker does not take plant/m: NotAuthorized.")]
    [InlineData(0x97, DeliveryOutcome.TryAgain, "The broker answers QuotaExceeded.")]
    public async Task What_the_broker_does_not_take_is_said_and_nothing_more_is_sent(byte reason, DeliveryOutcome outcome, string words)
    {
        await using var broker = new ScriptedBroker(2);
        await using BrokerLink link = await ConnectedAsync(new Broker("127.0.0.1", broker.Port));
        Task<Delivery?> publishing = link.PublishAsync(Messages(10), TestContext.Current.CancellationToken);
        Assert.Equal(2, await broker.SettledAsync(2));
        await broker.AcknowledgeAsync(1);
        await broker.AcknowledgeAsync(1, reason);
        while (!publishing.IsCompleted)
        {
            await Task.Delay(5, TestContext.Current.CancellationToken);
            await broker.AcknowledgeAsync(10); // what was on its way before the answer came
        }

        Delivery? said = await publishing;
        Assert.Equal((outcome, words), (said!.Outcome, said.Words));
        Assert.InRange(broker.Published.Count, 2, 3);
    }

    [Fact]
    public async Task A_message_that_cannot_be_sent_at_all_is_trouble_and_not_taken_for_sent()
    {
        await using var broker = new ScriptedBroker(10);
        await using BrokerLink link = await ConnectedAsync(new Broker("127.0.0.1", broker.Port));
        Delivery? said = await link.PublishAsync([new BrokerMessage("a/+/b", [1], false, 1)], TestContext.Current.CancellationToken); // no topic name
        Assert.Equal(DeliveryOutcome.TryAgain, said!.Outcome);
        Assert.Empty(broker.Published);
    }

    [Fact]
    public async Task A_connection_that_breaks_with_messages_on_the_way_is_trouble()
    {
        await using var broker = new ScriptedBroker(10);
        await using BrokerLink link = await ConnectedAsync(new Broker("127.0.0.1", broker.Port));
        Task<Delivery?> publishing = link.PublishAsync(Messages(20), TestContext.Current.CancellationToken);
        await broker.SettledAsync(10);
        await broker.AcknowledgeAsync(3);
        await broker.DisposeAsync();
        Assert.Equal(DeliveryOutcome.TryAgain, (await publishing)!.Outcome);
    }

    /// <remarks>
    /// Mosquitto sends with Nagle's algorithm, as is its default. An acknowledgement that waits for ours takes 40 ms on Linux, once a batch: 4 s for these.
    /// </remarks>
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task No_acknowledgement_waits_for_the_one_before(bool version5)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Only Linux can be told to acknowledge at once.");
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using BrokerLink link = await ConnectedAsync(new Broker("127.0.0.1", broker.Port) { Version5 = version5 });
        BrokerMessage[] few = Messages(5);
        var clock = Stopwatch.StartNew();
        for (int batch = 0; batch < 100; batch++)
        {
            Assert.Null(await link.PublishAsync(few, TestContext.Current.CancellationToken));
        }

        Assert.InRange(clock.Elapsed.TotalSeconds, 0, 2);
    }
}
