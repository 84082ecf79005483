using ThermoWatch.Domain.Engine;
using ThermoWatch.Feeds.Influx;
using ThermoWatch.Feeds.Tests.Core;
using ThermoWatch.Tests;

namespace ThermoWatch.Feeds.Tests.Influx;

/// <summary>Databases that we did not write, read back by their own query calls.</summary>
public sealed class RealDatabaseTests
{
    private static readonly CellDefinition Cell = Sample.Cell();
    private static readonly HttpClient Http = new();

    private static FeedBatch Batch(int first, int last) => new("cell-1", [.. Enumerable.Range(first, last - first + 1).Select(n => Sample.Scan(Cell, n))], last);

    [Theory]
    [InlineData(1, true, false)]
    [InlineData(2, false, false)]
    [InlineData(2, true, true)]
    public async Task VictoriaMetrics_has_every_reading_with_its_time_and_value(int version, bool gzip, bool client)
    {
        int port = FreePorts.Next();
        using Peer victoria = await Databases.VictoriaAsync(port);
        LineServer server = new(new Uri($"http://127.0.0.1:{port}"), version, "plant") { Organisation = "plant", Gzip = gzip };
        await using var target = new InfluxTarget(client ? new ClientLineSender(server) : new HttpLineSender(server), new LineNames(), server.Precision);
        Assert.Equal(DeliveryOutcome.Delivered, (await target.DeliverAsync(Batch(1, 500), TestContext.Current.CancellationToken)).Outcome);
        Assert.Equal(DeliveryOutcome.Delivered, (await target.DeliverAsync(Batch(501, 1000), TestContext.Current.CancellationToken)).Outcome);
        Dictionary<string, (long Time, double Value)[]> series = await Databases.ReadVictoriaAsync(port, "temperature_value");
        Assert.Equal(["tc1", "tc2"], series.Keys.Order());
        for (int channel = 0; channel < 2; channel++)
        {
            Assert.Equal(
                Enumerable.Range(1, 1000).Select(n => ((long)Sample.TimeOf(n).ToUnixMilliseconds(), n + (channel * 0.001))),
                series[$"tc{channel + 1}"]);
        }

        Assert.All((await Databases.ReadVictoriaAsync(port, "temperature_quality"))["tc1"], point => Assert.Equal(0, point.Value));
    }

    [Fact]
    public async Task A_database_killed_and_started_again_has_everything_in_the_end()
    {
        (int port, int rpc) = (FreePorts.Next(), FreePorts.Next());
        using Peer first = await Databases.InfluxAsync(port, rpc);
        await Databases.CreateAsync(port, "plant");
        await using var target = InfluxTarget.On(new LineServer(new Uri($"http://127.0.0.1:{port}"), 1, "plant"), new LineNames());
        string folder = Directory.CreateTempSubdirectory("feeds").FullName;
        var lane = new MemoryLane();
        FeedOptions options = new("plant") { FromBeginning = true, BatchReadings = 100, FirstWait = TimeSpan.FromMilliseconds(20), LongestWait = TimeSpan.FromMilliseconds(200) };
        var feed = new Feed(options, [lane], target, new FeedFolder(folder), TimeProvider.System, new Random(1));
        lane.End = 400;
        while (await feed.StepAsync(TestContext.Current.CancellationToken))
        {
            // Until everything is sent.
        }

        first.Kill();
        lane.End = 800;
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(FeedState.Waiting, feed.Status.State);
        using Peer second = await Databases.InfluxAsync(port, rpc, first.Folder);
        while (feed.Status.BacklogEntries > 0)
        {
            await feed.StepAsync(TestContext.Current.CancellationToken);
        }

        Assert.Equal(Enumerable.Range(1, 800).Select(n => ((long)Sample.TimeOf(n).ToUnixMilliseconds(), (double)n)), await Databases.ReadInfluxAsync(port, "plant", "ms", "tc1"));
        second.Kill();
        Directory.Delete(folder, recursive: true);
    }

    [Theory]
    [InlineData(LinePrecision.Milliseconds, 1)]
    [InlineData(LinePrecision.Microseconds, 1)]
    [InlineData(LinePrecision.Nanoseconds, 2)]
    public async Task Two_scans_that_come_together_are_one_point_unless_times_go_in_full(LinePrecision precision, int points)
    {
        int port = FreePorts.Next();
        using Peer influx = await Databases.InfluxAsync(port, FreePorts.Next());
        await Databases.CreateAsync(port, "plant");
        await using var target = InfluxTarget.On(new LineServer(new Uri($"http://127.0.0.1:{port}"), 1, "plant") { Precision = precision }, new LineNames());
        ScanItem first = Sample.Scan(Cell, 1), second = Sample.Scan(Cell, 2);
        // As a line's reader stamps two lines that it was handed at once.
        Domain.Signals.Timestamp after = new(first.Time.UtcTicks + 1);
        second = second with { Time = after, Readings = [.. second.Readings.Select(r => r with { Time = after })] };
        Assert.Equal(Delivery.Confirmed, await target.DeliverAsync(new FeedBatch("cell-1", [first, second], 2), TestContext.Current.CancellationToken));
        (long, double Value)[] stored = await Databases.ReadInfluxAsync(port, "plant", "ns", "tc1");
        Assert.Equal((points, 2.0), (stored.Length, stored[^1].Value)); // the later one is kept
        var shared = new SharedTimes(target.Step);
        shared.Take(new FeedBatch("cell-1", [first, second], 2));
        Assert.Equal(2 - points, shared.Count);
    }

    [Fact]
    public async Task InfluxDB_stores_once_what_is_sent_twice_and_says_which_line_it_will_not_take()
    {
        int port = FreePorts.Next();
        using Peer influx = await Databases.InfluxAsync(port, FreePorts.Next());
        await Databases.CreateAsync(port, "plant");
        // Somebody else has written this field as a whole number: a float is a conflict from now on.
        await Http.PostAsync($"http://127.0.0.1:{port}/write?db=plant&precision=ms", new StringContent($"pressure,channel=px value=1i {(long)Sample.TimeOf(1).ToUnixMilliseconds()}\n"), TestContext.Current.CancellationToken);
        CellDefinition mixed = Cell with { Channels = [Cell.Channels[0], Cell.Channels[1] with { Conversion = Cell.Channels[1].Conversion with { Unit = Domain.Signals.MeasuredUnit.Millibar } }] };
        await using var target = InfluxTarget.On(new LineServer(new Uri($"http://127.0.0.1:{port}"), 1, "plant") { Precision = LinePrecision.Microseconds }, new LineNames());

        FeedItem[] good = [.. Enumerable.Range(1, 20).Select(n => Sample.Scan(Cell, n))];
        FeedBatch batch = new("cell-1", [.. good, Sample.Scan(mixed, 21)], 21);
        for (int twice = 0; twice < 2; twice++)
        {
            Delivery delivery = await target.DeliverAsync(batch, TestContext.Current.CancellationToken);
            Assert.Equal(DeliveryOutcome.Partly, delivery.Outcome);
            RejectedLine rejected = Assert.Single(delivery.Rejected);
            Assert.StartsWith("pressure,cell=1,channel=tc2,", rejected.Line, StringComparison.Ordinal);
            Assert.Contains("field type conflict", rejected.Words, StringComparison.Ordinal);
        }

        Assert.Equal(Enumerable.Range(1, 21).Select(n => (LineTime.Of(Sample.TimeOf(n), LinePrecision.Microseconds), (double)n)), await Databases.ReadInfluxAsync(port, "plant", "u", "tc1"));

        await using var nowhere = InfluxTarget.On(new LineServer(new Uri($"http://127.0.0.1:{port}"), 1, "typo"), new LineNames());
        Delivery refused = await nowhere.DeliverAsync(batch, TestContext.Current.CancellationToken);
        Assert.Equal(DeliveryOutcome.Refused, refused.Outcome);
        Assert.Contains("database not found", refused.Words, StringComparison.Ordinal);
    }
}
