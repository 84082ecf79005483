using System.Text;
using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Sparkplug;
using ThermoWatch.Feeds.Tests.Mqtt;

namespace ThermoWatch.Feeds.Tests.Sparkplug;

/// <summary>
/// The edge node on a real broker (Eclipse Mosquitto), heard by a plain client and decoded by somebody else's protobuf.
/// Tests are named after the ids of the specification's assertions (Sparkplug 3.0, eclipse-sparkplug/sparkplug).
/// </summary>
public sealed class ConformanceTests : IDisposable
{
    private static readonly CellDefinition Cell = Sample.Cell();
    private readonly string _folder = Directory.CreateTempSubdirectory("sparkplug").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private SparkplugTarget Node(Mosquitto broker, bool version5 = true, string? host = null) => new(
        new Broker("127.0.0.1", broker.Port) { Version5 = version5, ClientId = "edge" }, new SparkplugNames("plant", "hall2", host), [Cell], _folder, TimeProvider.System);

    private static FeedBatch Batch(int first, int last, bool historical = false, TimeSpan? shift = null)
    {
        // Live readings are younger than the birth.
        TimeSpan toNow = shift ?? (TimeProvider.System.GetUtcNow().AddHours(1) - Sample.Start.ToDateTimeOffset());
        return new FeedBatch("cell-1", [.. Enumerable.Range(first, last - first + 1).Select(n => Sample.Scan(Cell, n)).Select(s => s with { Time = s.Time + toNow })], last, historical);
    }

    private static string Type(string topic) => topic.Split('/')[2];

    private static JsonElement Metric(JsonElement payload, string name) => payload.GetProperty("metrics").EnumerateArray().Single(m => m.TryGetProperty("name", out JsonElement n) && n.GetString() == name);

    private static async Task<List<(string Topic, JsonElement Payload, bool Retained, int Quality)>> HeardAsync(Listener listener, Func<IReadOnlyList<(string Topic, byte[] Payload, bool Retained, int Quality)>, bool> enough)
    {
        var messages = (await listener.UntilAsync(enough)).Where(m => !m.Topic.Contains("STATE", StringComparison.Ordinal) && !m.Topic.Contains("NCMD", StringComparison.Ordinal)).ToArray();
        return [.. messages.Zip(Decoder.Decode(messages.Select(m => m.Payload)), (m, d) => (m.Topic, d, m.Retained, m.Quality))];
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Topics_nbirth_and_dbirth_payloads_seq_and_alias(bool version5)
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using SparkplugTarget node = Node(broker, version5);
        for (int batch = 0; batch < 300; batch++)
        {
            Assert.Equal(Delivery.Confirmed, await node.DeliverAsync(Batch(batch + 1, batch + 1), TestContext.Current.CancellationToken));
        }

        var heard = await HeardAsync(listener, m => m.Count >= 302);
        Assert.Equal(["NBIRTH", "DBIRTH", "DDATA"], heard.Take(3).Select(h => Type(h.Topic)));          // message-flow-device-birth-publish-nbirth-wait
        Assert.Equal("spBv1.0/plant/NBIRTH/hall2", heard[0].Topic);                                    // topic-structure
        Assert.Equal("spBv1.0/plant/DBIRTH/hall2/cell-1", heard[1].Topic);
        Assert.All(heard, h => Assert.Equal((0, false), (h.Quality, h.Retained)));                      // payloads-nbirth-qos, -retain; payloads-ddata-qos, -retain
        Assert.All(heard, h => Assert.True(h.Payload.TryGetProperty("timestamp", out _)));              // payloads-nbirth-timestamp, payloads-ddata-timestamp
        Assert.Equal(Enumerable.Range(0, 302).Select(n => (n % 256).ToString()), heard.Take(302).Select(h => h.Payload.GetProperty("seq").GetString())); // topics-nbirth-seq-num, payloads-sequence-num-incrementing

        JsonElement nbirth = heard[0].Payload, dbirth = heard[1].Payload;
        JsonElement bdSeq = Metric(nbirth, "bdSeq"), rebirth = Metric(nbirth, "Node Control/Rebirth");
        Assert.Equal(("0", 4), (bdSeq.GetProperty("long_value").GetString(), bdSeq.GetProperty("datatype").GetInt32()));      // payloads-nbirth-bdseq; starts at 0
        Assert.Equal((false, 11), (rebirth.GetProperty("boolean_value").GetBoolean(), rebirth.GetProperty("datatype").GetInt32())); // payloads-nbirth-rebirth-req
        Assert.False(rebirth.TryGetProperty("alias", out _));                                           // operational-behavior-data-commands-rebirth-name-aliases
        JsonElement[] born = [.. dbirth.GetProperty("metrics").EnumerateArray()];
        Assert.All(born, m => Assert.True(m.TryGetProperty("name", out _) && m.TryGetProperty("datatype", out _) && m.TryGetProperty("alias", out _) && m.TryGetProperty("timestamp", out _))); // payloads-name-birth-data-requirement, payloads-metric-datatype-req, topics-dbirth-metric-reqs
        Assert.Equal(born.Length, born.Select(m => m.GetProperty("alias").GetString()).Distinct().Count()); // payloads-alias-uniqueness
        string[] times = [.. born.Select(m => m.GetProperty("timestamp").GetString()!)];
        Assert.Equal(times.Order(StringComparer.Ordinal), times);                                       // payloads-dbirth-order

        string alias = Metric(dbirth, "Readings/tc1").GetProperty("alias").GetString()!;
        JsonElement[] data = [.. heard.Skip(2).SelectMany(h => h.Payload.GetProperty("metrics").EnumerateArray())];
        Assert.All(data, m => Assert.False(m.TryGetProperty("name", out _) || m.TryGetProperty("datatype", out _))); // payloads-alias-data-cmd-requirement, payloads-metric-datatype-not-req
        Assert.Equal(Enumerable.Range(1, 300).Select(n => (double)n), data.Where(m => m.GetProperty("alias").GetString() == alias).Select(m => m.GetProperty("double_value").GetDouble()));
        Assert.All(data, m => Assert.False(m.TryGetProperty("is_historical", out _)));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Payloads_ndeath_by_intended_disconnect_and_bdseq_of_the_next_session(bool version5)
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        for (int session = 0; session < 3; session++)
        {
            await using SparkplugTarget node = Node(broker, version5);
            Assert.Null(await node.TendAsync(TestContext.Current.CancellationToken));
        }

        var heard = await HeardAsync(listener, m => m.Count(x => Type(x.Topic) == "NDEATH") >= 3);
        Assert.Equal(["NBIRTH", "DBIRTH", "NDEATH", "NBIRTH", "DBIRTH", "NDEATH", "NBIRTH", "DBIRTH", "NDEATH"], heard.Select(h => Type(h.Topic)));
        JsonElement[] births = [.. heard.Where(h => Type(h.Topic) == "NBIRTH").Select(h => h.Payload)], deaths = [.. heard.Where(h => Type(h.Topic) == "NDEATH").Select(h => h.Payload)];
        Assert.Equal(["0", "1", "2"], births.Select(b => Metric(b, "bdSeq").GetProperty("long_value").GetString()));        // payloads-nbirth-bdseq-repeat, over restarts
        Assert.Equal(["0", "1", "2"], deaths.Select(d => Metric(d, "bdSeq").GetProperty("long_value").GetString()));        // payloads-ndeath-bdseq
        Assert.All(deaths, d => Assert.False(d.TryGetProperty("seq", out _)));                          // payloads-ndeath-seq
        Assert.All(deaths, d => Assert.Single(d.GetProperty("metrics").EnumerateArray()));             // topics-ndeath-payload
        Assert.All(births, b => Assert.Equal("0", b.GetProperty("seq").GetString()));
        Assert.All(heard.Where(h => Type(h.Topic) == "NDEATH"), h => Assert.Equal((1, false), (h.Quality, h.Retained))); // payloads-ndeath-will-message-qos, -retain
    }

    [Fact]
    public async Task Operational_behavior_data_commands_rebirth_action_1_to_3_and_nothing_else_is_obeyed()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using SparkplugTarget node = Node(broker);
        await node.DeliverAsync(Batch(1, 1), TestContext.Current.CancellationToken);
        byte[] Command(string name, bool value) => SparkplugCodec.Encode(new SparkplugPayload { TimestampMs = 1, Metrics = [new SparkplugMetric { Name = name, TimestampMs = 1, Datatype = 11, BooleanValue = value }] });
        await listener.PublishAsync("spBv1.0/plant/NCMD/hall2", Command("Node Control/Reboot", true));
        await listener.PublishAsync("spBv1.0/plant/NCMD/hall2", Command("Node Control/Rebirth", false));
        await listener.PublishAsync("spBv1.0/plant/NCMD/hall2", [0xFF, 0x00]);
        await listener.PublishAsync("spBv1.0/plant/NCMD/hall2", Command("Node Control/Rebirth", true));
        while (listener.Messages.Count(m => Type(m.Topic) == "NBIRTH") < 2)
        {
            Assert.Null(await node.TendAsync(TestContext.Current.CancellationToken));
            await Task.Delay(10, TestContext.Current.CancellationToken);
        }

        await node.DeliverAsync(Batch(2, 2), TestContext.Current.CancellationToken);
        var heard = (await HeardAsync(listener, m => m.Count(x => Type(x.Topic) == "DDATA") >= 2)).Where(h => Type(h.Topic) != "NCMD").ToList();
        Assert.Equal(["NBIRTH", "DBIRTH", "DDATA", "NBIRTH", "DBIRTH", "DDATA"], heard.Select(h => Type(h.Topic)));
        Assert.Equal(["0", "1", "2", "0", "1", "2"], heard.Select(h => h.Payload.GetProperty("seq").GetString()));
        Assert.Equal(["0", "0"], heard.Where(h => Type(h.Topic) == "NBIRTH").Select(h => Metric(h.Payload, "bdSeq").GetProperty("long_value").GetString())); // the same session
        Assert.Equal(1.0, Metric(heard[4].Payload, "Readings/tc1").GetProperty("double_value").GetDouble()); // the newest value, in the new birth
    }

    [Fact]
    public async Task Message_flow_phid_wait_and_offline()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener host = await Listener.StartAsync(broker.Port);
        await using SparkplugTarget node = Node(broker, version5: false, host: "scada");
        Task State(bool online, long time) => host.PublishAsync("spBv1.0/STATE/scada", Encoding.UTF8.GetBytes($"{{\"online\":{(online ? "true" : "false")},\"timestamp\":{time}}}"), retain: true);
        Delivery waits = await node.DeliverAsync(Batch(1, 1), TestContext.Current.CancellationToken);
        Assert.Equal((DeliveryOutcome.TryAgain, "The host application scada is not online."), (waits.Outcome, waits.Words));  // message-flow-edge-node-birth-publish-phid-wait
        await State(true, 100);
        await DeliverUntilAsync(node, Batch(1, 1), DeliveryOutcome.Delivered);
        await State(false, 50); // an older message: ignored (phid-wait-timestamp)
        await host.UntilAsync(m => m.Count(x => x.Topic.Contains("STATE", StringComparison.Ordinal)) >= 2);
        Assert.Equal(DeliveryOutcome.Delivered, (await node.DeliverAsync(Batch(2, 2), TestContext.Current.CancellationToken)).Outcome);
        await State(false, 200);
        await DeliverUntilAsync(node, Batch(3, 3), DeliveryOutcome.TryAgain);                            // message-flow-edge-node-birth-publish-phid-offline
        await host.UntilAsync(m => m.Any(x => Type(x.Topic) == "NDEATH"));
        await State(true, 300);
        await DeliverUntilAsync(node, Batch(3, 3, shift: TimeSpan.Zero), DeliveryOutcome.Delivered);    // recorded long before this birth
        var heard = await HeardAsync(host, m => m.Count(x => Type(x.Topic) == "NBIRTH") >= 2 && Type(m[^1].Topic) == "DDATA");
        Assert.Equal("NDEATH", heard.Select(h => Type(h.Topic)).SkipWhile(t => t != "NDEATH").First());
        Assert.All(heard[^1].Payload.GetProperty("metrics").EnumerateArray(), m => Assert.True(m.GetProperty("is_historical").GetBoolean())); // payloads: stored while offline
    }

    [Fact]
    public async Task Payloads_propertyset_quality_value_value_and_null()
    {
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        await using SparkplugTarget node = Node(broker);
        FeedBatch batch = Batch(1, 1);
        var scan = (ScanItem)batch.Items[0];
        scan.Readings[0] = Reading.Bad(scan.Time, QualityReason.OpenCircuit);
        scan.Readings[1] = scan.Readings[1] with { Quality = SignalQuality.Uncertain(QualityReason.Spike) };
        await node.DeliverAsync(batch, TestContext.Current.CancellationToken);
        JsonElement[] metrics = [.. (await HeardAsync(listener, m => m.Count >= 3))[2].Payload.GetProperty("metrics").EnumerateArray()];
        Assert.True(metrics[0].GetProperty("is_null").GetBoolean());
        Assert.False(metrics[0].TryGetProperty("double_value", out _));
        Assert.Equal("""{"keys":["Quality","Reason"],"values":[{"type":3,"int_value":0},{"type":12,"string_value":"bad:openCircuit"}]}""", Compact(metrics[0].GetProperty("properties")));
        Assert.Equal("""{"keys":["Quality","Reason"],"values":[{"type":3,"int_value":192},{"type":12,"string_value":"uncertain:spike"}]}""", Compact(metrics[1].GetProperty("properties")));
    }

    private static string Compact(JsonElement json) => JsonSerializer.Serialize(json);

    private static async Task DeliverUntilAsync(SparkplugTarget node, FeedBatch batch, DeliveryOutcome wanted)
    {
        using var late = new CancellationTokenSource(TimeSpan.FromSeconds(10));
        while ((await node.DeliverAsync(batch, late.Token)).Outcome != wanted)
        {
            await Task.Delay(20, late.Token);
        }
    }
}
