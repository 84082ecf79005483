using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Tests.Core;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>The MQTT feed on a real broker (Eclipse Mosquitto).</summary>
public sealed class MqttTargetTests
{
    private static readonly CellDefinition Cell = Sample.Cell();

    private static FeedBatch Batch(int first, int last, bool historical = false) =>
        new("cell-1", [.. Enumerable.Range(first, last - first + 1).Select(n => Sample.Scan(Cell, n))], last, historical);

    private static Broker To(Mosquitto broker, bool version5) => new("127.0.0.1", broker.Port) { Version5 = version5 };

    private static long[] Numbers(IEnumerable<(string Topic, byte[] Payload, bool Retained, int Quality)> messages) =>
        [.. messages.Where(m => m.Topic == "plant/cells/1/readings").SelectMany(m => Listener.Json(m.Payload).GetProperty("scans").EnumerateArray()).Select(s => s.GetProperty("seq").GetInt64())];

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Every_scan_arrives_in_order_with_its_time_and_values_and_the_newest_are_kept(bool version5)
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using var target = new MqttTarget(To(broker, version5), "plant");
        Assert.Equal(DeliveryOutcome.Delivered, (await target.DeliverAsync(Batch(1, 2000), TestContext.Current.CancellationToken)).Outcome);
        Assert.Equal(DeliveryOutcome.Delivered, (await target.DeliverAsync(Batch(2001, 2003), TestContext.Current.CancellationToken)).Outcome);
        var messages = await listener.UntilAsync(m => Numbers(m).Length >= 2003);
        Assert.Equal(Enumerable.Range(1, 2003).Select(n => (long)n), Numbers(messages));
        Assert.All(messages.Where(m => m.Topic != "plant/status"), m => Assert.Equal(1, m.Quality));
        System.Text.Json.JsonElement scan = Listener.Json(messages.First(m => m.Topic == "plant/cells/1/readings").Payload).GetProperty("scans")[6];
        Assert.Equal(("2025-01-01T00:00:00.7000000Z", 7, 7.001), (scan.GetProperty("t").GetString(), scan.GetProperty("values").GetProperty("tc1").GetDouble(), scan.GetProperty("values").GetProperty("tc2").GetDouble()));

        await using Listener late = await Listener.StartAsync(broker.Port, "plant/cells/1/channels/+"); // comes later, and knows at once
        var kept = await late.UntilAsync(m => m.Count >= 2);
        Assert.All(kept, m => Assert.True(m.Retained));
        Assert.Equal("""{"t":"2025-01-01T00:03:20.0000000Z","value":2000.001,"unit":"degC","quality":"good"}""", System.Text.Encoding.UTF8.GetString(kept.Single(m => m.Topic.EndsWith("tc2", StringComparison.Ordinal)).Payload));
    }

    [Fact]
    public async Task A_bad_reading_is_null_with_its_reason_and_the_past_moves_no_kept_value()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using var target = new MqttTarget(To(broker, true), "plant");
        ScanItem scan = Sample.Scan(Cell, 1);
        scan.Readings[1] = Reading.Bad(scan.Time, QualityReason.OpenCircuit);
        await target.DeliverAsync(new FeedBatch("cell-1", [scan], 1, IsHistorical: true), TestContext.Current.CancellationToken);
        var messages = await listener.UntilAsync(m => Numbers(m).Length == 1);
        Assert.Equal(
            """{"cell":1,"historical":true,"scans":[{"seq":1,"t":"2025-01-01T00:00:00.1000000Z","values":{"tc1":1,"tc2":null},"quality":{"tc2":"bad:openCircuit"}}]}""",
            System.Text.Encoding.UTF8.GetString(messages.Single(m => m.Topic == "plant/cells/1/readings").Payload));
        Assert.DoesNotContain(messages, m => m.Topic.Contains("/channels/", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Runs_and_alarms_are_told_and_their_newest_state_is_kept()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using var target = new MqttTarget(To(broker, true), "plant");
        var run = new FedRun { Cell = 1, Number = 12, Carrier = "A", Start = Sample.TimeOf(0), End = Sample.TimeOf(3000), Verdict = Verdict.Undetermined, Reasons = ["gap"], Figures = [new FigureResult { Figure = "peakTemperature", ChannelId = "tc1", Unit = "degC", Value = 241.5 }] };
        var alarm = new AlarmEvent(Sample.TimeOf(10), "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, false, 251, 245, 12);
        Assert.Equal(DeliveryOutcome.Delivered, (await target.DeliverAsync(new FeedBatch("events", [new AlarmItem(1, alarm), new RunItem(run, run.End.Value)], 2), TestContext.Current.CancellationToken)).Outcome);
        await using Listener late = await Listener.StartAsync(broker.Port);
        var kept = await late.UntilAsync(m => m.Count >= 3);
        Assert.Equal(["plant/cells/1/alarm/tooHot/tc1", "plant/cells/1/run", "plant/status"], kept.Select(m => m.Topic).Order(StringComparer.Ordinal));
        Assert.Equal(("unacknowledged", 251), (Listener.Json(kept.Single(m => m.Topic.Contains("alarm", StringComparison.Ordinal)).Payload).GetProperty("state").GetString(), Listener.Json(kept.Single(m => m.Topic.Contains("alarm", StringComparison.Ordinal)).Payload).GetProperty("value").GetDouble()));
        Assert.Equal("undetermined", Listener.Json(kept.Single(m => m.Topic.EndsWith("/run", StringComparison.Ordinal)).Payload).GetProperty("verdict").GetString());
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_broker_killed_and_started_again_has_missed_nothing_and_the_will_tells_of_a_dead_feed(bool version5)
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        string folder = Directory.CreateTempSubdirectory("feeds").FullName;
        var lane = new MemoryLane();
        FeedOptions options = new("plant") { FromBeginning = true, BatchReadings = 20, FirstWait = TimeSpan.FromMilliseconds(20), LongestWait = TimeSpan.FromMilliseconds(100), Timeout = TimeSpan.FromSeconds(2) };
        var target = new MqttTarget(To(broker, version5), "plant");
        await using var feed = new Feed(options, [lane], target, new FeedFolder(folder), TimeProvider.System, new Random(1));
        List<long> seen = [];
        await using (Listener before = await Listener.StartAsync(broker.Port))
        {
            lane.End = 100;
            while (feed.Status.BacklogEntries > 0 || lane.End > feed.Status.Lanes[0].Confirmed)
            {
                await feed.StepAsync(TestContext.Current.CancellationToken);
            }

            seen.AddRange(Numbers(await before.UntilAsync(m => Numbers(m).Length >= 100)));
            broker.Kill();
        }

        lane.End = 200;
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(FeedState.Waiting, feed.Status.State);
        await broker.BeginAsync();
        await using Listener after = await Listener.StartAsync(broker.Port);
        while (lane.End > feed.Status.Lanes[0].Confirmed)
        {
            await feed.StepAsync(TestContext.Current.CancellationToken);
        }

        seen.AddRange(Numbers(await after.UntilAsync(m => Numbers(m).Contains(200L))));
        Assert.Equal(Enumerable.Range(1, 200).Select(n => (long)n), seen.Distinct());
        Assert.Equal("""{"online":true}""", System.Text.Encoding.UTF8.GetString(after.Messages.Last(m => m.Topic == "plant/status").Payload));
        await target.DisposeAsync();
        await after.UntilAsync(m => System.Text.Encoding.UTF8.GetString(m.Last(x => x.Topic == "plant/status").Payload) == """{"online":false}""");
        Directory.Delete(folder, recursive: true);
    }
}
