using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Sparkplug;
using ThermoWatch.Feeds.Tests.Core;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>Two brokers (Eclipse Mosquitto), one of which is killed: as two targets, and as one target's first and second choice.</summary>
public sealed class SeveralBrokersTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("feeds").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static FeedOptions Options(string id) => new(id)
    {
        FromBeginning = true,
        BatchReadings = 20,
        FirstWait = TimeSpan.FromMilliseconds(20),
        LongestWait = TimeSpan.FromMilliseconds(50),
        Timeout = TimeSpan.FromSeconds(8),
    };

    private IFeedTarget Target(string kind, params Mosquitto[] brokers)
    {
        Broker[] choice = [.. brokers.Select(b => new Broker("127.0.0.1", b.Port) { Version5 = kind != "mqtt 3.1.1", Patience = TimeSpan.FromSeconds(3) })];
        return kind.StartsWith("mqtt", StringComparison.Ordinal)
            ? new MqttTarget(choice, "plant")
            : new SparkplugTarget(choice, new SparkplugNames("plant", "hall2", null), [Sample.Cell()], _folder, new FakeTimeProvider(Sample.Start.ToDateTimeOffset()));
    }

    [Theory]
    [InlineData("mqtt 5")]
    [InlineData("sparkplug")]
    public async Task Two_targets_of_one_kind_have_a_position_each_and_one_that_is_down_holds_up_nobody(string kind)
    {
        using Mosquitto one = await Mosquitto.StartAsync(), other = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(other.Port);
        var lane = new MemoryLane { End = 100 };
        await using var first = new Feed(Options("one"), [lane], Target(kind, one), new FeedFolder(Path.Combine(_folder, "one")), TimeProvider.System, new Random(1));
        await using var second = new Feed(Options("two"), [lane], Target(kind, other), new FeedFolder(Path.Combine(_folder, "two")), TimeProvider.System, new Random(2));
        await DrainAsync(first, lane);
        await DrainAsync(second, lane);
        one.Kill();
        lane.End = 300;
        await DrainAsync(second, lane, first);
        Assert.Equal((100, 300), (first.Status.Lanes[0].Confirmed, second.Status.Lanes[0].Confirmed));
        Assert.Equal((FeedState.Waiting, FeedState.Sending), (first.Status.State, second.Status.State));
        await one.BeginAsync();
        await using Listener later = await Listener.StartAsync(one.Port);
        await DrainAsync(first, lane);
        Assert.Equal(Numbers(101, 300), Numbers(await later.UntilAsync(m => Numbers(m).Contains(300))).Distinct());
        Assert.Equal(Numbers(1, 300), Numbers(await listener.UntilAsync(m => Numbers(m).Contains(300))));
    }

    [Theory]
    [InlineData("mqtt 5")]
    [InlineData("mqtt 3.1.1")]
    [InlineData("sparkplug")]
    public async Task When_the_broker_dies_the_next_in_the_list_gets_what_follows_and_nothing_is_lost(string kind)
    {
        using Mosquitto one = await Mosquitto.StartAsync(), other = await Mosquitto.StartAsync();
        await using Listener second = await Listener.StartAsync(other.Port);
        var lane = new MemoryLane { End = 100 };
        await using var feed = new Feed(Options("plant"), [lane], Target(kind, one, other), new FeedFolder(Path.Combine(_folder, "plant")), TimeProvider.System, new Random(1));
        List<long> seen = [];
        await using (Listener first = await Listener.StartAsync(one.Port))
        {
            await DrainAsync(feed, lane);
            seen.AddRange(Numbers(await first.UntilAsync(m => Numbers(m).Contains(100))));
            Assert.Empty(second.Messages); // one at a time, in order of preference
            one.Kill();
        }

        lane.End = 200;
        await DrainAsync(feed, lane);
        seen.AddRange(Numbers(await second.UntilAsync(m => Numbers(m).Contains(200))));
        Assert.Equal(Numbers(1, 200), seen.Distinct());
        Assert.Contains($"{one.Port}", feed.Status.Address, StringComparison.Ordinal);
        Assert.Contains($"{other.Port}", feed.Status.Address, StringComparison.Ordinal);

        // With both gone the state says so of each; when the first is back, it is taken.
        other.Kill();
        lane.End = 210;
        while (feed.Status.State != FeedState.Waiting || !feed.Status.Reason.Contains($"127.0.0.1:{one.Port}: ", StringComparison.Ordinal))
        {
            await feed.StepAsync(TestContext.Current.CancellationToken);
        }

        Assert.Contains($"127.0.0.1:{other.Port}: ", feed.Status.Reason, StringComparison.Ordinal);
        await one.BeginAsync();
        await using Listener again = await Listener.StartAsync(one.Port);
        await DrainAsync(feed, lane);
        Assert.Equal(Numbers(201, 210), Numbers(await again.UntilAsync(m => Numbers(m).Contains(210))).Distinct());
    }

    private static async Task DrainAsync(Feed feed, MemoryLane lane, Feed? beside = null)
    {
        using var late = new CancellationTokenSource(TimeSpan.FromSeconds(20));
        while (lane.End > feed.Status.Lanes[0].Confirmed)
        {
            if (beside is not null)
            {
                await beside.StepAsync(late.Token);
            }

            if (!await feed.StepAsync(late.Token))
            {
                await Task.Delay(5, late.Token);
            }
        }
    }

    private static IEnumerable<long> Numbers(long first, long last) => Enumerable.Range((int)first, (int)(last - first + 1)).Select(n => (long)n);

    /// <summary>Numbers of the scans that came, by either kind of message: the first channel's value is the scan's number.</summary>
    private static long[] Numbers(IEnumerable<(string Topic, byte[] Payload, bool Retained, int Quality)> messages) =>
    [
        .. messages.SelectMany(m => m.Topic == "plant/cells/1/readings"
            ? Listener.Json(m.Payload).GetProperty("scans").EnumerateArray().Select(s => s.GetProperty("seq").GetInt64())
            : m.Topic.Contains("/DDATA/", StringComparison.Ordinal)
                ? SparkplugCodec.TryDecode(m.Payload)!.Metrics.Where(x => x.DoubleValue is { } value && value == Math.Floor(value)).Select(x => (long)x.DoubleValue!.Value)
                : []),
    ];
}
