using System.Text;
using System.Text.Json;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Sparkplug;
using ThermoWatch.Feeds.Tests.Core;
using ThermoWatch.Feeds.Tests.Mqtt;
using ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

namespace ThermoWatch.Feeds.Tests.Sparkplug;

/// <summary>The edge node as a feed's target on a real broker: pauses, requests without end, a host that is away.</summary>
public sealed class SparkplugTargetTests : IDisposable
{
    private const string Birth = "spBv1.0/plant/NBIRTH/hall2", Data = "spBv1.0/plant/DDATA/hall2/cell-1-logger", Command = "spBv1.0/plant/NCMD/hall2";
    private static readonly CellDefinition Cell = Sample.Cell();
    private static readonly FeedOptions Options = new("host") { FromBeginning = true, BatchReadings = 20, FirstWait = TimeSpan.FromMilliseconds(20), LongestWait = TimeSpan.FromMilliseconds(50) };
    private readonly string _folder = Directory.CreateTempSubdirectory("sparkplug").FullName;
    private readonly FakeTimeProvider _time = new(Sample.Start.ToDateTimeOffset());

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private SparkplugTarget Node(Mosquitto broker, string? host = null) => new(
        [new Broker("127.0.0.1", broker.Port) { ClientId = "edge" }], new SparkplugNames("plant", "hall2", host), [Cell], _folder, _time);

    private Feed Feed(SparkplugTarget node, MemoryLane lane, FeedOptions? options = null) => new(options ?? Options, [lane], node, new FeedFolder(_folder), _time, new Random(1));

    private static FeedBatch Batch(int first, int last) => new("cell-1", [.. Enumerable.Range(first, last - first + 1).Select(n => Sample.Scan(Cell, n))], last);

    [Fact]
    public async Task A_bad_reading_is_null_with_quality_and_reason_and_a_doubtful_one_has_its_value()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using SparkplugTarget node = Node(broker);
        FeedBatch batch = Batch(1, 1);
        var scan = (ScanItem)batch.Items[0];
        scan.Readings[0] = Reading.Bad(scan.Time, QualityReason.OpenCircuit);
        scan.Readings[1] = scan.Readings[1] with { Quality = SignalQuality.Uncertain(QualityReason.Spike) };
        await node.DeliverAsync(batch, TestContext.Current.CancellationToken);
        JsonElement[] metrics = [.. Decoder.Decode([(await listener.UntilAsync(m => m.Any(x => x.Topic == Data))).First(m => m.Topic == Data).Payload])[0].GetProperty("metrics").EnumerateArray()];
        Assert.True(metrics[0].GetProperty("is_null").GetBoolean());
        Assert.False(metrics[0].TryGetProperty("double_value", out _));
        Assert.Equal("""{"keys":["Quality","Reason"],"values":[{"type":3,"int_value":0},{"type":12,"string_value":"bad:openCircuit"}]}""", JsonSerializer.Serialize(metrics[0].GetProperty("properties")));
        Assert.Equal("""{"keys":["Quality","Reason"],"values":[{"type":3,"int_value":192},{"type":12,"string_value":"uncertain:spike"}]}""", JsonSerializer.Serialize(metrics[1].GetProperty("properties")));
    }

    [Fact]
    public async Task A_paused_feed_answers_a_request_for_births_and_sends_no_data_until_it_goes_on()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        var lane = new MemoryLane { End = 30 };
        await using Feed feed = Feed(Node(broker), lane);
        await DrainAsync(feed, lane);
        feed.Pause();
        lane.End = 60;
        await listener.PublishAsync(Command, Scenarios.Request());
        await listener.UntilAsync(m => Count(m, Birth) == 2);
        for (int i = 0; i < 10; i++)
        {
            await feed.StepAsync(TestContext.Current.CancellationToken);
        }

        Assert.Equal((FeedState.Paused, 30), (feed.Status.State, feed.Status.BacklogEntries));
        feed.Resume();
        await DrainAsync(feed, lane);
        var heard = await listener.UntilAsync(m => Values(m).Length >= 60);
        int secondBirth = heard.Select(m => m.Topic).ToList().LastIndexOf(Birth), third = heard.Select(m => m.Topic).ToList().FindIndex(secondBirth, t => t == Data);
        Assert.Equal(30, Values(heard.Take(third)).Length);
        Assert.Equal(Enumerable.Range(1, 60).Select(n => (double)n), Values(heard));
    }

    [Fact]
    public async Task Requests_without_end_are_answered_within_limits_and_data_go_on_meanwhile()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using SparkplugTarget node = Node(broker);
        await node.DeliverAsync(Batch(1, 1), TestContext.Current.CancellationToken);
        for (int n = 1; n <= RebirthGate.AtOnce; n++)
        {
            await listener.PublishAsync(Command, Scenarios.Request());
            await listener.UntilAsync(m => Count(m, Birth) == 1 + n); // several hosts that begin together: each at once
        }

        for (int n = 2; n <= 100; n++)
        {
            await listener.PublishAsync(Command, Scenarios.Request());
            Assert.Equal(Delivery.Confirmed, await node.DeliverAsync(Batch(n, n), TestContext.Current.CancellationToken));
        }

        await listener.UntilAsync(m => Values(m).Length == 100);
        Assert.Equal(1 + RebirthGate.AtOnce, Count(listener.Messages, Birth));
        _time.Advance(RebirthGate.Pace + TimeSpan.FromMilliseconds(10));
        var heard = await listener.UntilAsync(m => Count(m, Birth) == 2 + RebirthGate.AtOnce && m[^1].Topic.EndsWith("DBIRTH/hall2/cell-1-logger", StringComparison.Ordinal)); // one for all that waited
        Assert.Null(await node.TendAsync(TestContext.Current.CancellationToken));
        Assert.Equal(2 + RebirthGate.AtOnce, Count(listener.Messages, Birth));
        Assert.Equal(Enumerable.Range(1, 100).Select(n => (double)n), Values(heard));
        int expected = 0;
        foreach ((string topic, JsonElement payload) in Ours(heard))
        {
            expected = topic == Birth ? 0 : (expected + 1) % 256;
            Assert.Equal(expected.ToString(), payload.GetProperty("seq").GetString());
        }
    }

    [Fact]
    public async Task What_is_recorded_while_the_host_is_away_is_kept_and_then_sent_in_order_as_the_past()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener host = await Listener.StartAsync(broker.Port);
        Task State(bool online, long time) => host.PublishAsync("spBv1.0/STATE/scada", Encoding.UTF8.GetBytes($"{{\"online\":{(online ? "true" : "false")},\"timestamp\":{time}}}"), retain: true);
        var lane = new MemoryLane { End = 10 };
        await using Feed feed = Feed(Node(broker, "scada"), lane);
        await State(true, 1);
        await DrainAsync(feed, lane);
        await State(false, 2);
        await host.UntilAsync(m => m.Any(x => x.Topic == "spBv1.0/plant/NDEATH/hall2"));
        for (int n = 11; n <= 200; n++)
        {
            lane.End = n;
            _time.Advance(TimeSpan.FromSeconds(0.1)); // its waits end too: it asks again and again
            await feed.StepAsync(TestContext.Current.CancellationToken);
        }

        Assert.Equal((FeedState.Waiting, "The host application scada is not online.", 190), (feed.Status.State, feed.Status.Reason, feed.Status.BacklogEntries));
        await State(true, 3);
        lane.End = 210; // and what comes after is of the present
        await DrainAsync(feed, lane, () => _time.Advance(TimeSpan.FromSeconds(0.01)));
        var heard = await host.UntilAsync(m => Values(m).Length >= 210);
        Assert.Equal(Enumerable.Range(1, 210).Select(n => (double)n), Values(heard));
        string birthMs = Ours(heard).Last(m => m.Topic == Birth).Payload.GetProperty("timestamp").GetString()!;
        JsonElement[] afterwards = [.. Ours(heard).SkipWhile(m => m.Topic != "spBv1.0/plant/NDEATH/hall2").Where(m => m.Topic == Data).SelectMany(m => m.Payload.GetProperty("metrics").EnumerateArray())];
        Assert.All(afterwards, m => Assert.Equal(long.Parse(m.GetProperty("timestamp").GetString()!) < long.Parse(birthMs), m.TryGetProperty("is_historical", out JsonElement past) && past.GetBoolean()));
        Assert.InRange(afterwards.Count(m => m.TryGetProperty("is_historical", out _)), 2 * 179, 2 * 200); // the births may come before the clock moves on
        Assert.Contains(afterwards, m => !m.TryGetProperty("is_historical", out _));
    }

    [Fact]
    public async Task Data_follow_the_births_at_once_when_the_host_is_back_however_long_the_feed_meant_to_wait()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener host = await Listener.StartAsync(broker.Port);
        Task State(bool online, long time) => host.PublishAsync("spBv1.0/STATE/scada", Encoding.UTF8.GetBytes($"{{\"online\":{(online ? "true" : "false")},\"timestamp\":{time}}}"), retain: true);
        var lane = new MemoryLane { End = 50 };
        await using Feed feed = Feed(Node(broker, "scada"), lane, Options with { FirstWait = TimeSpan.FromHours(1), LongestWait = TimeSpan.FromHours(1) });
        await feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal((FeedState.Waiting, "The host application scada is not online."), (feed.Status.State, feed.Status.Reason));
        await feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(50, feed.Status.BacklogEntries);
        await State(true, 1);
        await DrainAsync(feed, lane); // and the clock stands still
        Assert.Equal(Enumerable.Range(1, 50).Select(n => (double)n), Values(await host.UntilAsync(m => Values(m).Length >= 50)));
        Assert.Equal(FeedState.Sending, feed.Status.State);
    }

    private static async Task DrainAsync(Feed feed, MemoryLane lane, Action? eachStep = null)
    {
        using var late = new CancellationTokenSource(TimeSpan.FromSeconds(20));
        while (lane.End > feed.Status.Lanes[0].Confirmed)
        {
            eachStep?.Invoke();
            if (!await feed.StepAsync(late.Token))
            {
                await Task.Delay(5, late.Token);
            }
        }
    }

    private static int Count(IEnumerable<(string Topic, byte[] Payload, bool Retained, int Quality)> messages, string topic) => messages.Count(m => m.Topic == topic);

    /// <summary>Values of the first channel that came as data, in order, each once.</summary>
    private static double[] Values(IEnumerable<(string Topic, byte[] Payload, bool Retained, int Quality)> messages) =>
        [.. messages.Where(m => m.Topic == Data).SelectMany(m => SparkplugCodec.TryDecode(m.Payload)!.Metrics).Where(m => m.DoubleValue is { } value && value == Math.Floor(value)).Select(m => m.DoubleValue!.Value)];

    private static List<(string Topic, JsonElement Payload)> Ours(IEnumerable<(string Topic, byte[] Payload, bool Retained, int Quality)> messages)
    {
        var ours = messages.Where(m => !m.Topic.Contains("/STATE/", StringComparison.Ordinal) && m.Topic != Command).ToArray();
        return [.. ours.Zip(Decoder.Decode(ours.Select(m => m.Payload)), (m, payload) => (m.Topic, payload))];
    }
}
