using System.Diagnostics;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Benchmarks.Feeds;

/// <summary>Messages and readings to a broker, beside the broker's own publisher.</summary>
internal static class BrokerFigures
{
    private const int Rounds = 6, Messages = 30_000, Batches = 120;
    private const string Reading = """{"t":"2025-01-01T00:00:00.0000000Z","channel":"tc1","value":231.25}""";

    public static async Task RunAsync()
    {
        if (FeedPeer.Find("mosquitto") is not { } program || FeedPeer.Find("mosquitto_pub") is not { } publisher)
        {
            return;
        }

        await using FeedPeer broker = await FeedPeer.MosquittoAsync(program);
        Console.WriteLine($"# peer: mosquitto_pub -l -q 1 from a file, one process, one reading of {Reading.Length} B a line; Eclipse Mosquitto with its defaults on loopback; medians of {Rounds - 1} rounds");
        string lines = Path.Combine(broker.Folder, "lines.txt");
        await File.WriteAllLinesAsync(lines, Enumerable.Repeat(Reading, Messages));

        await using var link = new BrokerLink(new Broker("127.0.0.1", broker.Port) { Window = 16 });
        StoreBenchmarks.Expect(await link.ConnectAsync(new BrokerMessage("bench/status", [0], false, 0), CancellationToken.None) is null, "the broker lets us in");
        byte[] payload = System.Text.Encoding.UTF8.GetBytes(Reading);
        BrokerMessage[] messages = [.. Enumerable.Repeat(new BrokerMessage("bench", payload, false, 1), Messages)];
        await using var target = new MqttTarget(new Broker("127.0.0.1", broker.Port) { ClientId = "readings" }, "bench");

        List<FeedCost> peer = [], ours = [], readings = [], past = [];
        for (int round = 0; round < Rounds; round++)
        {
            peer.Add(await FeedCost.OfAsync(Messages, () => PublishAsync(publisher, broker.PortText, lines)));
            ours.Add(await FeedCost.OfAsync(Messages, async () =>
                StoreBenchmarks.Expect(await link.PublishAsync(messages, CancellationToken.None) is null, "the broker took them")));
            readings.Add(await FeedCost.OfAsync(Batches * FeedBenchmarks.BatchPoints, () => FeedBenchmarks.DeliverAsync(target, Batches)));
            past.Add(await FeedCost.OfAsync(Batches * FeedBenchmarks.BatchPoints, () => FeedBenchmarks.DeliverAsync(target, Batches, historical: true)));
        }

        double theirs = FeedCost.Median(peer).Rate;
        Figures.More("MQTT messages, quality 1, window of 16", FeedCost.Median(ours).Rate, "messages/s", theirs);
        Figures.Less("MQTT client CPU a message", FeedCost.Median(ours).CpuUs, "us");
        Figures.More("MQTT readings, quality 1, many in a message, newest ones kept besides", FeedCost.Median(readings).Rate, "readings/s", theirs);
        Figures.More("MQTT readings, quality 1, many in a message, a backfill", FeedCost.Median(past).Rate, "readings/s", theirs);
        Figures.Less("MQTT client CPU a reading, a backfill", FeedCost.Median(past).CpuUs, "us");
    }

    private static async Task PublishAsync(string publisher, string port, string lines)
    {
        // The shell hands it the file itself, so that nothing of ours stands in its way.
        using var process = Process.Start("/bin/sh", ["-c", "exec \"$0\" -h 127.0.0.1 -p \"$1\" -t bench -q 1 -l < \"$2\"", publisher, port, lines]);
        await process.WaitForExitAsync();
        StoreBenchmarks.Expect(process.ExitCode == 0, "mosquitto_pub ended well");
    }
}
