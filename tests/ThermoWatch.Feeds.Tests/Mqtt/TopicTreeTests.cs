using System.Text;
using System.Text.RegularExpressions;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Tests.Sparkplug.Conformance;
using ThermoWatch.Tests;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>The table of topics in the room's README, row by row, against what a broker really gets.</summary>
public sealed partial class TopicTreeTests
{
    private const string Root = "plant/hall2";

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task The_broker_gets_the_topics_of_the_table_with_its_messages_and_keeps_those_that_it_says(bool version5)
    {
        (string Topic, bool Kept, string What)[] table = [.. Table()];
        Assert.Equal(7, table.Length);
        using Mosquitto broker = await Mosquitto.StartAsync();
        await using Listener listener = await Listener.StartAsync(broker.Port);
        var log = new Log();
        await using var tap = new Tap(0, broker.Port, log);
        await using var target = new MqttTarget(new Broker("127.0.0.1", tap.Port) { Version5 = version5 }, Root);
        CellDefinition cell = Sample.Cell();
        Timestamp time = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, 700, TimeSpan.Zero));
        var scan = new ScanItem(cell, 7, time, [0, 1], [new Reading(time, 231.25, SignalQuality.Good), Reading.Bad(time, QualityReason.OpenCircuit)]);
        var run = new RunItem(new FedRun { Cell = 1, Number = 12, Carrier = "A", Start = time }, time);
        var alarm = new AlarmItem(1, new AlarmEvent(time, "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, false, 251, 245, 12));
        Assert.Equal(Delivery.Confirmed, await target.DeliverAsync(new FeedBatch("cell-1", [scan, run, alarm, new DeviceItem(cell, 0, DeviceState.Down, time)], 4), TestContext.Current.CancellationToken));

        var heard = (await listener.UntilAsync(m => m.Count >= 8)).Where(m => !m.Topic.EndsWith("tc2", StringComparison.Ordinal)).ToDictionary(m => m.Topic[(Root.Length + 1)..], m => Encoding.UTF8.GetString(m.Payload));
        Assert.Equal(table.Select(t => t.Topic).Order(StringComparer.Ordinal), heard.Keys.Order(StringComparer.Ordinal));
        Assert.Equal(table.Single(t => t.Topic == "status").What, heard["status"]);
        Assert.Equal(table.Single(t => t.Topic == "cells/1/readings").What, heard["cells/1/readings"]);
        Assert.Equal(table.Single(t => t.Topic == "cells/1/channels/tc1").What, heard["cells/1/channels/tc1"]);
        Assert.All(log.All.Where(h => h.Packet.Kind == "PUBLISH"), h => Assert.Equal(1, h.Packet.Quality));

        await using (Listener late = await Listener.StartAsync(broker.Port))
        {
            await late.PublishAsync("mark", []);
            var kept = (await late.UntilAsync(m => m.Any(x => x.Topic == "mark"))).Where(m => m.Retained).Select(m => m.Topic[(Root.Length + 1)..]).Where(t => !t.EndsWith("tc2", StringComparison.Ordinal));
            Assert.Equal(table.Where(t => t.Kept).Select(t => t.Topic).Order(StringComparer.Ordinal), kept.Order(StringComparer.Ordinal));
        }

        tap.Cut(); // the feed is gone without a word
        await listener.UntilAsync(m => m[^1] is { Topic: Root + "/status" } last && Encoding.UTF8.GetString(last.Payload) == """{"online":false}""");
        Packet connect = log.All.Single(h => h.Packet.Kind == "CONNECT").Packet;
        Assert.Equal((Root + "/status", true, 1, true), (connect.WillTopic, connect.WillRetain, connect.WillQuality, connect.CleanStart));
        Assert.Equal(version5 ? 0L : null, connect.SessionExpiry is -1 ? 0 : connect.SessionExpiry); // nothing of ours waits at a broker; absent is 0
    }

    /// <summary>Topics in backticks, whether each is kept, and the first message that the row shows.</summary>
    private static IEnumerable<(string Topic, bool Kept, string What)> Table()
    {
        string readme = File.ReadAllText(Path.Combine(Repository.Root, "src/ThermoWatch.Feeds/README.md"));
        foreach (string line in readme.Split("\n## mqtt\n")[1].Split("\n## ")[0].Split('\n').Where(l => l.StartsWith("| `", StringComparison.Ordinal)))
        {
            string[] cells = line.Split(" | ");
            string[] topics = [.. Code().Matches(cells[0]).Select(m => m.Groups[1].Value)], kept = cells[1].Split(", ");
            for (int i = 0; i < topics.Length; i++)
            {
                yield return (topics[i], kept[i].Trim() == "yes", Code().Match(cells[2]).Groups[1].Value);
            }
        }
    }

    [GeneratedRegex("`([^`]+)`")]
    private static partial Regex Code();
}
