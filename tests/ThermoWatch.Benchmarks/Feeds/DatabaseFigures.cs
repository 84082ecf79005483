using System.Globalization;
using InfluxDB.Client;
using InfluxDB.Client.Api.Domain;
using InfluxDB.Client.Writes;
using ThermoWatch.Feeds.Influx;
using ThermoWatch.Tests.Feeding;

namespace ThermoWatch.Benchmarks.Feeds;

/// <summary>A backlog by line protocol: our lines by our sender, our lines by the maker's client, and the maker's client with its own point objects.</summary>
internal static class DatabaseFigures
{
    private const int Rounds = 6, Batches = 120, PeerBatches = 60; // 0.6 and 0.3 million points a round

    public static async Task RunAsync()
    {
        if (FeedPeer.Find("victoria-metrics") is not { } program)
        {
            return;
        }

        await using FeedPeer server = await FeedPeer.VictoriaAsync(program);
        Console.WriteLine($"# peers: VictoriaMetrics with its defaults on loopback; InfluxDB.Client with PointData, awaited WritePointsAsync, {FeedBenchmarks.BatchPoints} points a call, nanoseconds;"
            + $" one value field and three tags a point; medians of {Rounds - 1} rounds");
        var url = new Uri($"http://127.0.0.1:{server.Port}");
        foreach (bool gzip in (bool[])[false, true])
        {
            LineServer to = new(url, 2, "bench") { Organisation = "bench", Gzip = gzip, Precision = LinePrecision.Nanoseconds };
            List<FeedCost> points = [], record = [], ours = [];
            for (int round = 0; round < Rounds; round++)
            {
                points.Add(await PointsAsync(url, gzip));
                record.Add(await LinesAsync(new ClientLineSender(to)));
                ours.Add(await LinesAsync(new HttpLineSender(to)));
            }

            Print(gzip ? "gzip" : "plain", FeedCost.Median(points), FeedCost.Median(record), FeedCost.Median(ours));
        }
    }

    private static void Print(string encoding, FeedCost points, FeedCost record, FeedCost ours)
    {
        Figures.More($"backfill by line protocol, {encoding}", ours.Rate, "points/s", points.Rate);
        Figures.More($"the same lines by InfluxDB.Client's record call, {encoding}", record.Rate, "points/s", points.Rate);
        Figures.Less($"client CPU a point, {encoding}", ours.CpuUs, "us", points.CpuUs);
        Figures.Less($"the same lines by InfluxDB.Client's record call, CPU a point, {encoding}", record.CpuUs, "us", points.CpuUs);
        Figures.Less($"memory asked for a point, {encoding}", ours.Bytes, "B", points.Bytes);
        Figures.Less($"the same lines by InfluxDB.Client's record call, memory a point, {encoding}", record.Bytes, "B", points.Bytes);
    }

    private static async Task<FeedCost> LinesAsync(ILineSender sender)
    {
        await using var target = new InfluxTarget(sender, new LineNames { Quality = null }, LinePrecision.Nanoseconds);
        return await FeedCost.OfAsync(Batches * FeedBenchmarks.BatchPoints, () => FeedBenchmarks.DeliverAsync(target, Batches));
    }

    private static async Task<FeedCost> PointsAsync(Uri url, bool gzip)
    {
        using var client = new InfluxDBClient(new InfluxDBClientOptions(url.AbsoluteUri));
        if (gzip)
        {
            client.EnableGzip();
        }

        WriteApiAsync write = client.GetWriteApiAsync();
        return await FeedCost.OfAsync(PeerBatches * FeedBenchmarks.BatchPoints, async () =>
        {
            for (int batch = 0; batch < PeerBatches; batch++)
            {
                await write.WritePointsAsync(Points((long)batch * FeedBenchmarks.BatchScans), "bench", "bench");
            }
        });
    }

    private static List<PointData> Points(long firstScan)
    {
        List<PointData> points = new(FeedBenchmarks.BatchPoints);
        for (long scan = firstScan; scan < firstScan + FeedBenchmarks.BatchScans; scan++)
        {
            DateTimeOffset time = Sample.TimeOf(scan).ToDateTimeOffset();
            for (int channel = 0; channel < FeedBenchmarks.Channels; channel++)
            {
                points.Add(PointData.Measurement("temperature").Tag("cell", "1").Tag("channel", "tc" + (channel + 1).ToString(CultureInfo.InvariantCulture)).Tag("role", "product")
                    .Field("value", FeedBenchmarks.Value(scan, channel)).Timestamp(time, WritePrecision.Ns));
            }
        }

        return points;
    }
}
