using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Sparkplug;

namespace ThermoWatch.Feeds.Tests.Sparkplug;

/// <summary>What a node says, without a broker: counters and devices in whatever order things happen.</summary>
public sealed class EdgeNodeTests
{
    private static readonly CellDefinition Cell = Sample.Cell() with
    {
        Devices = [new DeviceDefinition("logger", "Logger", TimeSpan.FromMilliseconds(100), ["p1"]), new DeviceDefinition("gauge", "Gauge", TimeSpan.FromMilliseconds(100), ["p2"])],
        Channels = [Sample.Cell().Channels[0], Sample.Cell().Channels[1] with { Device = "gauge" }],
    };

    private static ulong Ms(double seconds) => EdgeNode.Milliseconds(Sample.Start.AddSeconds(seconds));

    private static ScanItem Scan(int device, double seconds, bool answers = true)
    {
        Timestamp time = Sample.Start.AddSeconds(seconds);
        return new ScanItem(Cell, 1, time, [device], [answers ? new Reading(time, seconds, SignalQuality.Good) : Reading.Bad(time, QualityReason.NoCommunication)]);
    }

    private static DeviceItem State(int device, DeviceState state, double seconds) => new(Cell, device, state, Sample.Start.AddSeconds(seconds));

    private static string[] Said(IEnumerable<SparkplugMessage> messages) => [.. messages.Select(m => m.Topic.Split('/')).Select(t => t[2] + " " + t.ElementAtOrDefault(4))];

    private static FeedBatch Batch(params FeedItem[] items) => new("cell-1", items, 1);

    [Fact]
    public void An_instrument_dies_when_it_is_down_and_its_next_answer_gives_it_birth()
    {
        var node = new EdgeNode("g", "n", [Cell]);
        Assert.Equal(["NBIRTH ", "DBIRTH cell-1", "DBIRTH cell-1-logger", "DBIRTH cell-1-gauge"], Said(node.Births(Ms(0))));
        Assert.Equal(["DDATA cell-1-gauge", "DDEATH cell-1-gauge", "DDATA cell-1-logger"], Said(node.Data(Batch(Scan(1, 1, answers: false), State(1, DeviceState.Suspect, 1), Scan(0, 1.1), State(1, DeviceState.Down, 1.2), Scan(0, 1.3)), () => Ms(2))));
        Assert.Equal(["NBIRTH ", "DBIRTH cell-1", "DBIRTH cell-1-logger"], Said(node.Births(Ms(2)))); // asked while it is silent
        Assert.Equal(["DBIRTH cell-1-gauge", "DDATA cell-1-gauge"], Said(node.Data(Batch(State(1, DeviceState.Connecting, 2.4), Scan(1, 2.5)), () => Ms(3))));
    }

    [Fact]
    public void What_befell_an_instrument_before_the_session_is_told_when_the_present_is_reached()
    {
        var node = new EdgeNode("g", "n", [Cell]);
        _ = Said(node.Births(Ms(100)));
        Assert.Equal(["DDATA cell-1-logger"], Said(node.Data(Batch(State(1, DeviceState.Down, 10), Scan(0, 11)), () => Ms(101)))); // the record goes on: it may be back by now
        Assert.Equal(["DDEATH cell-1-gauge"], Said(node.Settle(null, () => Ms(102))));
        Assert.Empty(node.Settle(null, () => Ms(103)));

        var other = new EdgeNode("g", "n", [Cell]);
        _ = Said(other.Births(Ms(100)));
        Assert.Equal(["DDATA cell-1-gauge"], Said(other.Data(Batch(State(1, DeviceState.Down, 10), State(1, DeviceState.Up, 11), Scan(1, 11)), () => Ms(101))));
        Assert.Empty(other.Settle(null, () => Ms(102))); // it was back before anybody could be told
    }

    [Fact]
    public void A_backfill_says_nothing_of_how_an_instrument_is_now()
    {
        var node = new EdgeNode("g", "n", [Cell]);
        _ = Said(node.Births(Ms(100)));
        Assert.Equal(["DDATA cell-1-gauge"], Said(node.Data(Batch(State(1, DeviceState.Down, 10), Scan(1, 9)) with { IsHistorical = true }, () => Ms(101))));
        Assert.Empty(node.Settle(null, () => Ms(102)));
    }

    [Fact]
    public void Whatever_happens_numbers_rise_by_one_and_only_born_devices_have_data()
    {
        Gen.Select(Gen.Int[0, 9], Gen.Int[0, 1], Gen.Int[1, 5]).Array[50, 400].Sample(
            steps =>
            {
                var node = new EdgeNode("g", "n", [Cell]);
                double now = 1;
                long expected = -1;
                HashSet<string> living = [];
                Check(node.Births(Ms(now)));
                foreach ((int what, int device, int count) in steps)
                {
                    now += 0.1;
                    switch (what)
                    {
                        case 0:
                            Check(node.Births(Ms(now)));
                            break;
                        case 1:
                            Check(node.Data(Batch(State(device, DeviceState.Down, now)), () => Ms(now)));
                            break;
                        case 2:
                            Check(node.Data(Batch(State(device, DeviceState.Up, now)), () => Ms(now)));
                            break;
                        case 3:
                            Check(node.Settle(null, () => Ms(now)));
                            break;
                        case 4:
                            Check(node.Data(Batch(Scan(device, 0.5), State(1 - device, DeviceState.Down, 0.6), Scan(0, now)), () => Ms(now)));
                            break;
                        case 5:
                            Check(node.Data(Batch(Scan(0, 0.1), Scan(1, 0.1)) with { IsHistorical = true }, () => Ms(now)));
                            break;
                        default:
                            Check(node.Data(Batch([.. Enumerable.Range(0, count).Select(i => Scan((device + i) % 2, now + (i * 0.01), answers: what != 9))]), () => Ms(now)));
                            break;
                    }
                }

                void Check(IEnumerable<SparkplugMessage> messages)
                {
                    foreach (SparkplugMessage message in messages)
                    {
                        string[] levels = message.Topic.Split('/');
                        SparkplugPayload payload = SparkplugCodec.TryDecode(message.Payload)!;
                        expected = levels[2] == "NBIRTH" ? 0 : (expected + 1) % 256;
                        Assert.Equal((ulong)expected, payload.Seq);
                        switch (levels[2])
                        {
                            case "NBIRTH":
                                living.Clear();
                                break;
                            case "DBIRTH":
                                Assert.True(living.Add(levels[4]));
                                break;
                            case "DDEATH":
                                Assert.True(living.Remove(levels[4]));
                                break;
                            default:
                                Assert.Contains(levels[4], living);
                                Assert.Equal(payload.Metrics.Count, payload.Metrics.Select(m => (m.Alias, m.TimestampMs)).Distinct().Count());
                                break;
                        }
                    }
                }
            },
            iter: 300);
    }

    [Fact]
    public void A_gate_lets_three_through_and_then_one_in_two_seconds()
    {
        var time = new FakeTimeProvider();
        var gate = new RebirthGate(time);
        Assert.False(gate.IsDue);
        for (int i = 0; i < RebirthGate.AtOnce; i++)
        {
            gate.Ask();
            Assert.True(gate.IsDue);
            gate.Answer();
        }

        gate.Ask();
        gate.Ask();
        Assert.Equal((false, true, RebirthGate.Pace), (gate.IsDue, gate.IsAsked, gate.Wait));
        time.Advance(RebirthGate.Pace);
        Assert.True(gate.IsDue);
        gate.Answer();
        Assert.False(gate.IsAsked);
        time.Advance(TimeSpan.FromMinutes(1)); // a quiet minute does not save up more than three
        int through = 0;
        for (gate.Ask(); gate.IsDue; gate.Ask())
        {
            gate.Answer();
            through++;
        }

        Assert.Equal(RebirthGate.AtOnce, through);
    }
}
