using ThermoWatch.Domain.Engine;
using ThermoWatch.Feeds;
using ThermoWatch.Tests.Feeding;

namespace ThermoWatch.Benchmarks.Feeds;

/// <summary>Topic "feeds": how fast a backlog leaves, what it costs, and how late live values are meanwhile, beside libraries and programs that do the same.</summary>
internal static class FeedBenchmarks
{
    public const int Channels = 16, BatchScans = 312, BatchPoints = BatchScans * Channels; // 4992 points a request, for everybody

    private static readonly CellDefinition s_cell = Sample.Cell(Channels);
    private static readonly int[] s_channels = [.. Enumerable.Range(0, Channels)];

    /// <summary>Everything, in the parts below; each of them can be asked for alone.</summary>
    public static void Run()
    {
        RunDatabases();
        RunBrokers();
        RunLive();
        RunBacklog();
    }

    public static void RunDatabases() => DatabaseFigures.RunAsync().GetAwaiter().GetResult();

    public static void RunBrokers() => BrokerFigures.RunAsync().GetAwaiter().GetResult();

    public static void RunLive() => BacklogFigures.RunLiveAsync().GetAwaiter().GetResult();

    public static void RunBacklog() => BacklogFigures.RunBacklogAsync().GetAwaiter().GetResult();

    /// <summary>One batch of the record, as a feed hands it to its target.</summary>
    public static FeedBatch Batch(long firstScan, bool historical)
    {
        var items = new FeedItem[BatchScans];
        for (int i = 0; i < items.Length; i++)
        {
            items[i] = Sample.Scan(s_cell, firstScan + i, s_channels, Value);
        }

        return new FeedBatch("cell-1", items, firstScan + BatchScans, historical);
    }

    /// <summary>Delivers so many batches, each confirmed before the next.</summary>
    public static async Task DeliverAsync(IFeedTarget target, int batches, bool historical = false)
    {
        for (int batch = 0; batch < batches; batch++)
        {
            Delivery delivery = await target.DeliverAsync(Batch((long)batch * BatchScans, historical), CancellationToken.None);
            StoreBenchmarks.Expect(delivery.Outcome == DeliveryOutcome.Delivered, "the batch was confirmed: " + delivery.Words);
        }
    }

    /// <summary>As a converted thermocouple gives it: all the digits of a double.</summary>
    public static double Value(long scan, int channel) => 150 + (100 * Math.Sin((scan * 0.001) + (channel * 0.1)));
}
