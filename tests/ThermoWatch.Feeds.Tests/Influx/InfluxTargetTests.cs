using System.IO.Compression;
using System.Net;
using System.Text;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Influx;

namespace ThermoWatch.Feeds.Tests.Influx;

/// <summary>What the target makes of a server's answers.</summary>
public sealed class InfluxTargetTests
{
    private static readonly LineServer Server = new(new Uri("http://historian:8086"), 2, "line 1") { Organisation = "plant", Gzip = false };
    private static readonly CellDefinition Cell = Sample.Cell();

    private static FeedBatch Batch(int scans) => new("cell-1", [.. Enumerable.Range(1, scans).Select(n => Sample.Scan(Cell, n))], scans);

    private static async Task<Delivery> Send(FeedBatch batch, FakeServer fake, LineServer? server = null, LineNames? names = null)
    {
        server ??= Server;
        await using var target = new InfluxTarget(new HttpLineSender(server, fake), names ?? new LineNames(), server.Precision);
        return await target.DeliverAsync(batch, TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task Readings_become_lines_of_their_quantity_with_a_float_and_a_quality()
    {
        var fake = new FakeServer();
        ScanItem scan = Sample.Scan(Cell, 7);
        scan.Readings[1] = scan.Readings[1] with { Quality = SignalQuality.Uncertain(QualityReason.Spike) };
        Assert.Equal(DeliveryOutcome.Delivered, (await Send(new FeedBatch("cell-1", [scan], 7), fake)).Outcome);
        Assert.Equal(
            "temperature,cell=1,channel=tc1,role=product value=7,quality=0i 1735689600700\n" +
            "temperature,cell=1,channel=tc2,role=product value=7.001,quality=1i 1735689600700\n", fake.Bodies.Single());
        Assert.Equal("http://historian:8086/api/v2/write?org=plant&bucket=line%201&precision=ms", fake.Urls.Single());
    }

    [Fact]
    public async Task A_bad_reading_has_no_line_and_a_batch_of_them_needs_no_server()
    {
        var fake = new FakeServer();
        ScanItem scan = Sample.Scan(Cell, 7);
        scan.Readings[0] = Reading.Bad(scan.Time, QualityReason.OpenCircuit);
        await Send(new FeedBatch("cell-1", [scan], 7), fake);
        Assert.Equal("temperature,cell=1,channel=tc2,role=product value=7.001,quality=0i 1735689600700\n", fake.Bodies.Single());
        scan.Readings[1] = Reading.Bad(scan.Time, QualityReason.NoCommunication);
        Assert.Equal(DeliveryOutcome.Delivered, (await Send(new FeedBatch("cell-1", [scan], 7), fake)).Outcome);
        Assert.Single(fake.Bodies);
    }

    [Fact]
    public async Task Names_tags_and_precision_are_the_plants_choice()
    {
        var fake = new FakeServer();
        ScanItem scan = Sample.Scan(Cell, 7);
        scan.Readings[1] = scan.Readings[1] with { Quality = SignalQuality.Uncertain(QualityReason.Spike) };
        LineNames names = new() { Prefix = "solder_", Value = "v", Quality = "q", QualityIsTag = true, Constant = [new("site", "Hall 2")] };
        await Send(new FeedBatch("cell-1", [scan], 7), fake, Server with { Precision = LinePrecision.Nanoseconds, Version = 1, Bucket = "db" }, names);
        Assert.Equal(
            "solder_temperature,cell=1,channel=tc1,role=product,site=Hall\\ 2 v=7 1735689600700000000\n" +
            "solder_temperature,cell=1,channel=tc2,q=uncertain,role=product,site=Hall\\ 2 v=7.001 1735689600700000000\n", fake.Bodies.Single());
        Assert.Equal("http://historian:8086/write?db=db&precision=ns", fake.Urls.Single());
    }

    [Fact]
    public async Task Runs_figures_and_alarms_travel_as_numbers()
    {
        var fake = new FakeServer();
        var run = new FedRun
        {
            Cell = 1,
            Number = 12,
            Carrier = "A",
            Kind = RunKind.Profile,
            Start = Sample.TimeOf(0),
            End = Sample.TimeOf(3000),
            Verdict = Verdict.Fail,
            Figures = [new FigureResult { Figure = "peakTemperature", ChannelId = "tc1", Unit = "degC", Value = 241.5, Verdict = Verdict.Pass, U = 2.2, Margin = 3.5 }, new FigureResult { Figure = "cycleTime", Unit = "s" }],
        };
        var alarm = new AlarmEvent(Sample.TimeOf(10), "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, false, 251, 245, 12) { Priority = AlarmPriority.High };
        await Send(new FeedBatch("events", [new RunItem(run with { End = null, Verdict = null, Figures = [] }, run.Start), new RunItem(run, run.End.Value), new AlarmItem(1, alarm)], 3), fake);
        Assert.Equal(
            "run,carrier=A,cell=1,kind=Profile number=12i,open=1i 1735689600000\n" +
            "run,carrier=A,cell=1,kind=Profile number=12i,open=0i,duration=300,verdict=1i 1735689900000\n" +
            "figure,carrier=A,cell=1,channel=tc1,figure=peakTemperature value=241.5,run=12i,margin=3.5,uncertainty=2.2,verdict=0i 1735689900000\n" +
            "alarm,alarm=tooHot/tc1,cell=1,channel=tc1,condition=tooHot state=1i,priority=2i,predicted=0i,value=251,limit=245,run=12i 1735689601000\n",
            fake.Bodies.Single());
    }

    [Fact]
    public async Task One_poisoned_line_in_five_thousand_is_set_aside_and_the_others_arrive()
    {
        var fake = new FakeServer { Refuses = line => line.Contains("value=1234.001,", StringComparison.Ordinal) ? "field type conflict" : null };
        Delivery delivery = await Send(Batch(2500), fake);
        Assert.Equal((DeliveryOutcome.Partly, "field type conflict"), (delivery.Outcome, delivery.Words));
        Assert.Contains("value=1234.001,", Assert.Single(delivery.Rejected).Line, StringComparison.Ordinal);
        Assert.Equal(4999, fake.Stored.Distinct().Count());
        Assert.True(fake.Bodies.Count <= 30, $"{fake.Bodies.Count} requests");
    }

    [Fact]
    public async Task A_server_that_takes_no_line_at_all_is_refusing_us_and_nothing_is_set_aside()
    {
        Delivery delivery = await Send(Batch(2500), new FakeServer { Refuses = _ => "no such database" });
        Assert.Equal((DeliveryOutcome.Refused, "It takes no line at all: no such database"), (delivery.Outcome, delivery.Words));
        Assert.Empty(delivery.Rejected);
    }

    [Fact]
    public async Task A_batch_too_large_is_halved()
    {
        var fake = new FakeServer { MostBytes = 20_000 };
        Assert.Equal(DeliveryOutcome.Delivered, (await Send(Batch(1000), fake)).Outcome);
        Assert.Equal(2000, fake.Stored.Count);
    }

    [Theory]
    [InlineData(500, DeliveryOutcome.TryAgain, "")]
    [InlineData(502, DeliveryOutcome.TryAgain, "")]
    [InlineData(503, DeliveryOutcome.TryAgain, "")]
    [InlineData(429, DeliveryOutcome.TryAgain, "")]
    [InlineData(401, DeliveryOutcome.Refused, ". Check user and token of the feed.")]
    [InlineData(403, DeliveryOutcome.Refused, ". Let the owner of the feed's token write there.")]
    [InlineData(404, DeliveryOutcome.Refused, ". Check url, version and bucket of the feed.")]
    public async Task A_status_says_whether_to_try_again_or_to_call_somebody_and_what_to_do(int status, DeliveryOutcome expected, string remedy)
    {
        var fake = new FakeServer { Status = status, Body = "{\"code\":\"x\",\"message\":\"in its own words\"}", RetryAfter = TimeSpan.FromSeconds(7) };
        Delivery delivery = await Send(Batch(3), fake);
        Assert.Equal((expected, "in its own words" + remedy), (delivery.Outcome, delivery.Words));
        Assert.Equal(expected == DeliveryOutcome.TryAgain ? TimeSpan.FromSeconds(7) : null, delivery.RetryAfter);
        Assert.Single(fake.Bodies);
    }

    [Fact]
    public async Task A_server_that_cannot_be_reached_is_no_exception()
    {
        Delivery delivery = await Send(Batch(1), new FakeServer { Breaks = new HttpRequestException("x", new IOException("connection refused")) });
        Assert.Equal((DeliveryOutcome.TryAgain, "connection refused"), (delivery.Outcome, delivery.Words));
    }

    [Fact]
    public async Task Compressed_batches_hold_the_same_lines()
    {
        FakeServer plain = new(), packed = new();
        await Send(Batch(500), plain);
        await Send(Batch(500), packed, Server with { Gzip = true });
        Assert.Equal(plain.Bodies, packed.Bodies);
        Assert.True(packed.Bytes < plain.Bytes / 4, $"{packed.Bytes} of {plain.Bytes} bytes");
    }

    [Fact]
    public async Task A_secret_comes_from_a_file_and_a_missing_one_says_what_to_do()
    {
        string path = Path.GetTempFileName();
        File.WriteAllText(path, "s3cret\n");
        var fake = new FakeServer();
        await Send(Batch(1), fake, Server with { Token = new Secret(null, path) });
        await Send(Batch(1), fake, Server with { Token = new Secret(null, path), Version = 1, User = "feed" });
        Assert.Equal(["Token s3cret", "Basic " + Convert.ToBase64String("feed:s3cret"u8)], fake.Authorizations);
        File.Delete(path);
        Delivery delivery = await Send(Batch(1), fake, Server with { Token = new Secret("THERMOWATCH_NO_SUCH_TOKEN", null) });
        Assert.Equal((DeliveryOutcome.Refused, "The environment variable THERMOWATCH_NO_SUCH_TOKEN is not set. Set it for the service."), (delivery.Outcome, delivery.Words));
    }

    /// <summary>A server that answers as it is told and stores what it takes.</summary>
    private sealed class FakeServer : HttpMessageHandler
    {
        public int Status { get; init; } = 204;

        public string Body { get; init; } = "";

        public TimeSpan? RetryAfter { get; init; }

        public Exception? Breaks { get; init; }

        public int MostBytes { get; init; } = int.MaxValue;

        /// <summary>Why a line is refused; the other lines of the batch are stored, as real servers do.</summary>
        public Func<string, string?> Refuses { get; init; } = _ => null;

        public List<string> Bodies { get; } = [];

        public List<string> Urls { get; } = [];

        public List<string> Authorizations { get; } = [];

        public List<string> Stored { get; } = [];

        public long Bytes { get; private set; }

        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            byte[] bytes = await request.Content!.ReadAsByteArrayAsync(cancellationToken);
            Bytes += bytes.Length;
            Urls.Add(request.RequestUri!.AbsoluteUri);
            if (request.Headers.Authorization is { } authorization)
            {
                Authorizations.Add(authorization.ToString());
            }

            if (request.Content.Headers.ContentEncoding.Contains("gzip"))
            {
                using var gzip = new GZipStream(new MemoryStream(bytes), CompressionMode.Decompress);
                var plain = new MemoryStream();
                gzip.CopyTo(plain);
                bytes = plain.ToArray();
            }

            if (Breaks is { } breaks)
            {
                throw breaks;
            }

            string body = Encoding.UTF8.GetString(bytes);
            Bodies.Add(body);
            if (bytes.Length > MostBytes)
            {
                return new HttpResponseMessage(HttpStatusCode.RequestEntityTooLarge);
            }

            string[] lines = body.Split('\n', StringSplitOptions.RemoveEmptyEntries);
            if (lines.Select(Refuses).FirstOrDefault(w => w is not null) is { } words)
            {
                Stored.AddRange(lines.Where(l => Refuses(l) is null));
                return new HttpResponseMessage(HttpStatusCode.BadRequest) { Content = new StringContent($"{{\"error\":\"{words}\"}}") };
            }

            Stored.AddRange(lines);
            var answer = new HttpResponseMessage((HttpStatusCode)Status) { Content = new StringContent(Body) };
            if (RetryAfter is { } wait)
            {
                answer.Headers.RetryAfter = new System.Net.Http.Headers.RetryConditionHeaderValue(wait);
            }

            return answer;
        }
    }
}
