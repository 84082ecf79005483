using System.Text;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Sparkplug;
using ThermoWatch.Feeds.Tests.Mqtt;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>A broker, a tap before it, a listener behind it, a clock, and items for a node.</summary>
internal sealed class Scene : IAsyncDisposable
{
    private readonly bool _version5;
    private readonly Log _log;
    private readonly FakeTimeProvider _time;
    private long _sequence;

    private Scene(bool version5, Mosquitto broker, int server, Scene? beside)
    {
        (_version5, Broker, Server) = (version5, broker, server);
        _log = beside?._log ?? new Log();
        _time = beside?._time ?? new FakeTimeProvider(Scenarios.Start);
        Tap = new Tap(server, broker.Port, _log);
    }

    public Mosquitto Broker { get; }

    public int Server { get; }

    public Tap Tap { get; }

    public Listener Listener { get; private set; } = null!;

    public string Folder { get; } = Directory.CreateTempSubdirectory("sparkplug").FullName;

    public List<Handed> Handed { get; set; } = [];

    public static async Task<Scene> OpenAsync(bool version5, Scene? beside = null)
    {
        var scene = new Scene(version5, await Mosquitto.StartAsync(), beside is null ? 0 : 1, beside);
        scene.Listener = await Listener.StartAsync(
            scene.Broker.Port, heard: (topic, payload) => scene._log.Add(new Happening(scene.Server, "heard", 0, new Packet("PUBLISH") { Topic = topic, Payload = payload })));
        return scene;
    }

    public SparkplugTarget Node(string? host = null, params Scene[] others) => new(
        [.. others.Prepend(this).Select(s => new Broker("127.0.0.1", s.Tap.Port) { Version5 = _version5, ClientId = "edge", Patience = TimeSpan.FromSeconds(3) })],
        new SparkplugNames(Scenarios.Group, Scenarios.Node, host), [Scenarios.One, Scenarios.Two], Folder, _time);

    /// <summary>Another node at the same broker, with the same cells.</summary>
    public SparkplugTarget Twin() => new(
        [new Broker("127.0.0.1", Tap.Port) { Version5 = _version5, ClientId = "twin", Patience = TimeSpan.FromSeconds(3) }],
        new SparkplugNames(Scenarios.Group, Scenarios.Twin, null), [Scenarios.One, Scenarios.Two], Path.Combine(Folder, "twin"), _time);

    /// <summary>Time goes by: what was measured before is of the past for a session that begins now.</summary>
    public void Pass() => _time.Advance(TimeSpan.FromSeconds(5));

    public FeedItem Scan(CellDefinition cell, int device, params double[] values) => Scan(cell, device, _time.GetUtcNow(), values);

    public FeedItem Scan(CellDefinition cell, int device, DateTimeOffset at, params double[] values)
    {
        Timestamp time = Timestamp.From(at);
        int[] channels = ChannelsOf(cell, device);
        _time.Advance(TimeSpan.FromMilliseconds(100));
        return new ScanItem(cell, ++_sequence, time, channels, [.. values.Select(v => new Reading(time, v, SignalQuality.Good))]);
    }

    /// <summary>One poll without an answer.</summary>
    public FeedItem Miss(CellDefinition cell, int device)
    {
        Timestamp time = Timestamp.From(_time.GetUtcNow());
        _time.Advance(TimeSpan.FromMilliseconds(100));
        int[] channels = ChannelsOf(cell, device);
        return new ScanItem(cell, ++_sequence, time, channels, [.. channels.Select(_ => Reading.Bad(time, QualityReason.NoCommunication))]);
    }

    public FeedItem State(CellDefinition cell, int device, DeviceState state) => new DeviceItem(cell, device, state, Timestamp.From(_time.GetUtcNow()));

    /// <summary>A run begins, and in one and the same millisecond two alarms come; the record has them in no order of time.</summary>
    public FeedItem[] Events()
    {
        Timestamp now = Timestamp.From(_time.GetUtcNow());
        var run = new FedRun { Cell = 1, Number = 12, Carrier = "A", Start = now };
        AlarmItem Alarm(string id) => new(1, new AlarmEvent(now, id, "tooHot", "tc1", AlarmState.Unacknowledged, false, 251, 245, 12));
        _time.Advance(TimeSpan.FromSeconds(1));
        return [new RunItem(run with { End = now.AddSeconds(0.5) }, now.AddSeconds(0.5)), Alarm("tooHot/tc1"), Alarm("tooHot/tc2")];
    }

    public Task DeliverAsync(SparkplugTarget node, params FeedItem[] items) => DeliverAsync(node, historical: false, items);

    /// <summary>Delivers as a feed does: again, until it is confirmed.</summary>
    public async Task DeliverAsync(SparkplugTarget node, bool historical, params FeedItem[] items)
    {
        using var late = new CancellationTokenSource(TimeSpan.FromSeconds(20));
        foreach (ScanItem scan in items.OfType<ScanItem>())
        {
            for (int i = 0; i < scan.Channels.Length; i++)
            {
                ChannelDefinition channel = scan.Definition.Channels[scan.Channels[i]];
                string metric = channel.Id switch { "TC1" => "Readings/TC1_2", "p+1" => "Readings/p_1", var id => "Readings/" + id };
                string device = $"cell-{scan.Cell}-" + (channel.Device == "logger" ? "logger" : "gauge___1");
                Handed.Add(new Handed(device, metric, (scan.Time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) / TimeSpan.TicksPerMillisecond, scan.Readings[i].Quality.HasValue ? scan.Readings[i].Value : null));
            }
        }

        Delivery said = new(DeliveryOutcome.TryAgain);
        while (said != Delivery.Confirmed)
        {
            Assert.False(late.IsCancellationRequested, said.Words);
            said = await node.DeliverAsync(new FeedBatch("cell-1", items, _sequence, historical), late.Token);
        }
    }

    /// <summary>A host asks for births, and waits until so many node births have come in all.</summary>
    public async Task RequestAsync(int births)
    {
        await Listener.PublishAsync(Scenarios.Topic("NCMD"), Scenarios.Request(name: "Node Control/Reboot"));
        await Listener.PublishAsync(Scenarios.Topic("NCMD"), Scenarios.Request(value: false));
        await Listener.PublishAsync(Scenarios.Topic("NCMD"), [0xFF, 0x00]);
        await Listener.PublishAsync(Scenarios.Topic("NCMD"), Scenarios.Request());
        await Listener.UntilAsync(m => m.Count(x => x.Topic == Scenarios.Topic("NBIRTH")) >= births && m[^1].Topic.Contains("/DBIRTH/", StringComparison.Ordinal) && m[^1].Topic.EndsWith("cell-2-logger", StringComparison.Ordinal));
    }

    public Task StateAsync(string host, bool online, long time) =>
        Listener.PublishAsync("spBv1.0/STATE/" + host, Encoding.UTF8.GetBytes($"{{\"online\":{(online ? "true" : "false")},\"timestamp\":{time}}}"), retain: true);

    /// <summary>Time for the node to hear what was published, where nothing that it does would show it.</summary>
    public Task SettleAsync() => Task.Delay(100, TestContext.Current.CancellationToken);

    /// <summary>Waits until the broker has given on everything, and reads it.</summary>
    public async Task<Recording> EndAsync()
    {
        await Listener.PublishAsync("spBv1.0/STATE/end", "{\"online\":false,\"timestamp\":0}"u8.ToArray());
        await Listener.UntilAsync(m => m.Any(x => x.Topic == "spBv1.0/STATE/end"));
        List<string> kept = [];
        await using (Listener late = await Listener.StartAsync(Broker.Port))
        {
            await late.PublishAsync("mark", []);
            kept.AddRange((await late.UntilAsync(m => m.Any(x => x.Topic == "mark"))).Where(m => m.Retained && !m.Topic.Contains("/STATE/", StringComparison.Ordinal)).Select(m => m.Topic));
        }

        await Listener.UntilAsync(m => m.Any(x => x.Topic == "mark"));
        return Recording.From([.. _log.All.Where(h => h.Packet.Topic is not ("mark" or "spBv1.0/STATE/end"))], kept);
    }

    public async ValueTask DisposeAsync()
    {
        await Tap.DisposeAsync();
        await Listener.DisposeAsync();
        Broker.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    private static int[] ChannelsOf(CellDefinition cell, int device) =>
        [.. Enumerable.Range(0, cell.Channels.Count).Where(i => cell.Channels[i].Device == cell.Devices[device].Id)];
}
