using System.Diagnostics;
using System.Text.Json;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Feeds.Influx;
using ThermoWatch.Feeds.Tests.Core;
using ThermoWatch.Feeds.Webhook;
using ThermoWatch.Tests;

namespace ThermoWatch.Feeds.Tests;

/// <summary>Feeds to a real server, a process in another language, that fails in every way that servers fail.</summary>
public sealed class HostileServerTests : IDisposable
{
    private static readonly FeedOptions s_quick = new("plant")
    {
        FromBeginning = true,
        BatchReadings = 40,
        Timeout = TimeSpan.FromSeconds(5),
        FirstWait = TimeSpan.FromMilliseconds(10),
        LongestWait = TimeSpan.FromMilliseconds(50),
    };

    /// <summary>Everything that goes wrong on the way, several times over.</summary>
    private static readonly object[] s_script =
    [
        new { status = 500, body = "internal error" }, new { }, new { status = 503, retryAfter = 1 }, new { cut = true }, new { }, new { close = true },
        new { status = 429 }, new { delayMs = 300 }, new { close = true }, new { cut = true }, new { status = 502 }, new { },
    ];

    private readonly string _folder = Directory.CreateTempSubdirectory("feeds").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private Feed FeedOf(IFeedTarget target, IFeedLane lane, FeedOptions? options = null) =>
        new(options ?? s_quick, [lane], target, new FeedFolder(Path.Combine(_folder, "feed")), TimeProvider.System, new Random(1));

    private static InfluxTarget Influx(HttpServer server, string scheme = "http", Secret? token = null, string? authority = null) =>
        InfluxTarget.On(new LineServer(new Uri($"{scheme}://127.0.0.1:{server.Port}"), 2, "plant") { Token = token, AuthorityFile = authority }, new LineNames());

    private static async Task UntilAsync(Feed feed, Func<FeedStatus, bool> holds)
    {
        var waited = Stopwatch.StartNew();
        while (!holds(feed.Status))
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30), $"It did not come within 30 s: {feed.Status.State}, {feed.Status.Reason}");
            if (!await feed.StepAsync(TestContext.Current.CancellationToken))
            {
                await Task.Delay(10, TestContext.Current.CancellationToken);
            }
        }
    }

    private static async Task<string[]> LinesAsync(HttpServer server) =>
        [.. (await server.TakenAsync()).SelectMany(r => r.Body.Split('\n', StringSplitOptions.RemoveEmptyEntries))];

    /// <summary>Numbers of the scans of channel tc1, in the order of arrival.</summary>
    private static long[] Numbers(IEnumerable<string> lines) =>
        [.. lines.Where(l => l.Contains(",channel=tc1,", StringComparison.Ordinal)).Select(l => long.Parse(l.Split("value=")[1].Split(',')[0], System.Globalization.CultureInfo.InvariantCulture))];

    /// <summary>Whatever comes again, nothing comes before what it stands behind, and nothing is missing.</summary>
    private static void AssertInOrder(IEnumerable<long> arrived, long last)
    {
        long next = 1;
        foreach (long number in arrived)
        {
            Assert.True(number <= next, $"{number} came before {next}");
            next = Math.Max(next, number + 1);
        }

        Assert.Equal(last, next - 1);
    }

    [Fact]
    public async Task Lines_arrive_all_and_in_order_whatever_the_server_does()
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.TreatsAsync(s_script);
        var lane = new MemoryLane { End = 400 };
        await using Feed feed = FeedOf(Influx(server), lane);
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        string[] lines = await LinesAsync(server);
        AssertInOrder(Numbers(lines), 400);
        Assert.True(lines.Length > lines.Distinct().Count(), "what was taken without an answer came again");
        Assert.Equal(0, feed.Status.RejectedLines);
    }

    [Fact]
    public async Task Events_arrive_all_and_in_order_and_what_comes_again_has_the_same_id()
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.TreatsAsync(s_script);
        var lane = new RunLane(200);
        await using Feed feed = FeedOf(new WebhookTarget(server.Address, null, "/plant/hall2"), lane);
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        TakenRequest[] taken = await server.TakenAsync();
        Assert.All(taken, r => Assert.Equal("application/cloudevents-batch+json; charset=utf-8", r.Headers["content-type"]));
        (string Id, string Body, long Number)[] events = [.. taken.SelectMany(r => JsonSerializer.Deserialize<JsonElement>(r.Body).EnumerateArray())
            .Select(e => (e.GetProperty("id").GetString()!, e.GetRawText(), e.GetProperty("data").GetProperty("run").GetInt64()))];
        AssertInOrder(events.Select(e => e.Number), 200);
        Assert.Equal(200, events.Select(e => e.Id).Distinct().Count());
        Assert.True(events.Length > 200, "what was taken without an answer came again");
        Assert.All(events.GroupBy(e => e.Id), same => Assert.Single(same.Select(e => e.Body).Distinct()));
    }

    [Fact]
    public async Task A_server_that_is_too_slow_is_given_up_and_asked_again()
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.TreatsAsync(new { delayMs = 2000 });
        var lane = new MemoryLane { End = 10 };
        await using Feed feed = FeedOf(Influx(server), lane, s_quick with { Timeout = TimeSpan.FromMilliseconds(400) });
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal((FeedState.Waiting, "No answer within 0.4 s."), (feed.Status.State, feed.Status.Reason));
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        AssertInOrder(Numbers(await LinesAsync(server)), 10);
    }

    [Fact]
    public async Task One_line_that_is_refused_is_set_aside_and_sent_again_when_somebody_has_put_it_right()
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.RefusesAsync("value=57.001,");
        var lane = new MemoryLane { End = 100 };
        await using Feed feed = FeedOf(Influx(server), lane);
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        Assert.Equal((1, "field type conflict"), (feed.Status.Quarantine.Lines, feed.Status.Quarantine.Words));
        Assert.Equal(199, (await LinesAsync(server)).Distinct().Count());

        await server.RefusesAsync("value=nothing");
        feed.SendQuarantinedAgain(null);
        await UntilAsync(feed, s => s.Quarantine.Lines == 0);
        Assert.Contains("temperature,cell=1,channel=tc2,role=product value=57.001,quality=0i 1735689605700", await LinesAsync(server));
    }

    [Theory]
    [InlineData("influx")]
    [InlineData("webhook")]
    public async Task A_server_that_is_not_there_at_the_start_gets_everything_once_it_is(string kind)
    {
        int port = FreePorts.Next();
        IFeedTarget target = kind == "influx"
            ? InfluxTarget.On(new LineServer(new Uri($"http://127.0.0.1:{port}"), 2, "plant"), new LineNames())
            : new WebhookTarget(new Uri($"http://127.0.0.1:{port}/events"), null, "/x");
        IFeedLane lane = kind == "influx" ? new MemoryLane { End = 30 } : new RunLane(30);
        await using Feed feed = FeedOf(target, lane);
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(FeedState.Waiting, feed.Status.State);
        Assert.Equal($"Connection to 127.0.0.1:{port} refused: nothing listens there. Check that the other side runs, and its address and port.", feed.Status.Reason);
        using HttpServer server = await HttpServer.StartAsync(port);
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        Assert.NotEmpty(await server.TakenAsync());
    }

    [Theory]
    [InlineData("influx", "Token right")]
    [InlineData("webhook", "Bearer right")]
    public async Task A_wrong_secret_is_refused_and_one_put_right_needs_no_restart(string kind, string wanted)
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.WantsAsync(wanted);
        string file = Path.Combine(_folder, "token");
        File.WriteAllText(file, "wrong\n");
        var token = new Secret(null, file);
        IFeedTarget target = kind == "influx" ? Influx(server, token: token) : new WebhookTarget(server.Address, token, "/x");
        await using Feed feed = FeedOf(target, kind == "influx" ? new MemoryLane { End = 30 } : new RunLane(30));
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(
            (FeedState.Refused, "unauthorized access. Check " + (kind == "influx" ? "user and token of the feed." : "the token of the feed.")), (feed.Status.State, feed.Status.Reason));
        Assert.Empty(await server.TakenAsync());
        File.WriteAllText(file, "right\n");
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        Assert.Equal(FeedState.Sending, feed.Status.State);
    }

    [Theory]
    [InlineData("influx")]
    [InlineData("webhook")]
    public async Task An_expired_certificate_is_a_refusal_that_says_so(string kind)
    {
        using HttpServer server = await HttpServer.StartAsync(certified: -1);
        IFeedTarget target = kind == "influx" ? Influx(server, "https") : new WebhookTarget(new Uri($"https://127.0.0.1:{server.Port}/events"), null, "/x");
        await using Feed feed = FeedOf(target, kind == "influx" ? new MemoryLane { End = 3 } : new RunLane(3));
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(FeedState.Refused, feed.Status.State);
        Assert.StartsWith("No encrypted connection to 127.0.0.1: the server's certificate (CN=localhost) has expired: it was valid until ", feed.Status.Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("influx")]
    [InlineData("webhook")]
    public async Task An_authority_of_the_plants_own_is_trusted_once_it_is_named(string kind)
    {
        using HttpServer server = await HttpServer.StartAsync(certified: 30);
        foreach ((string? file, string reason) in new (string?, string)[]
        {
            (null, "No encrypted connection to 127.0.0.1: the server's certificate (CN=localhost) is signed by nobody who is trusted here (CN=localhost). Name the authority's file as authority."),
            (Path.Combine(_folder, "none.pem"), $"The authority's file cannot be read: Could not find file '{_folder}/none.pem'. Name a PEM file that the service's user may read."),
            (server.CertificateFile, ""),
        })
        {
            IFeedTarget target = kind == "influx" ? Influx(server, "https", authority: file) : new WebhookTarget(new Uri($"https://127.0.0.1:{server.Port}/events"), null, "/x", file);
            await using Feed feed = FeedOf(target, kind == "influx" ? new MemoryLane { End = 3 } : new RunLane(3));
            await feed.StepAsync(TestContext.Current.CancellationToken);
            Assert.Equal((reason.Length == 0 ? FeedState.Sending : FeedState.Refused, reason), (feed.Status.State, feed.Status.Reason));
        }
    }

    [Theory]
    [InlineData("influx")]
    [InlineData("webhook")]
    public async Task A_name_that_nobody_knows_and_a_port_without_encryption_are_told_apart(string kind)
    {
        using HttpServer server = await HttpServer.StartAsync();
        foreach ((string url, FeedState state, string reason) in new[]
        {
            // RFC 6761: names under "invalid" exist nowhere.
            ("http://historian.invalid:8086/", FeedState.Waiting, "The name historian.invalid is not known here. Check how it is written, and this computer's name server."),
            ($"https://127.0.0.1:{server.Port}/", FeedState.Refused, "No encrypted connection to 127.0.0.1: Cannot determine the frame size or a corrupted frame was received. Check that the server takes encrypted connections on this port."),
        })
        {
            IFeedTarget target = kind == "influx" ? InfluxTarget.On(new LineServer(new Uri(url), 2, "plant"), new LineNames()) : new WebhookTarget(new Uri(url), null, "/x");
            await using Feed feed = FeedOf(target, kind == "influx" ? new MemoryLane { End = 3 } : new RunLane(3));
            await feed.StepAsync(TestContext.Current.CancellationToken);
            Assert.Equal((state, reason), (feed.Status.State, feed.Status.Reason));
        }
    }

    // RFC 9110 15.4: a client may turn a POST that is redirected with 301 or 302 into a GET, and .NET's does. Whoever answers that has taken nothing.
    [Theory]
    [InlineData("influx", 301)]
    [InlineData("influx", 302)]
    [InlineData("influx", 307)]
    [InlineData("webhook", 302)]
    [InlineData("webhook", 308)]
    public async Task A_server_that_sends_us_elsewhere_has_taken_nothing_and_its_words_hide_what_may_be_a_secret(string kind, int status)
    {
        using HttpServer server = await HttpServer.StartAsync();
        string elsewhere = $"http://127.0.0.1:{server.Port}/asked";
        await server.TreatsAsync(new { status, location = elsewhere + "?key=s3cret" });
        IFeedTarget target = kind == "influx" ? Influx(server) : new WebhookTarget(server.Address, null, "/x");
        await using Feed feed = FeedOf(target, kind == "influx" ? new MemoryLane { End = 3 } : new RunLane(3));
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(
            (FeedState.Refused, $"The server sends us to {elsewhere} (HTTP {status}), and nothing is sent there unasked. Write the address that takes it as url."),
            (feed.Status.State, feed.Status.Reason));
        Assert.True(feed.Status.BacklogEntries > 0, "nothing counts as sent");
    }

    [Fact]
    public async Task A_page_for_people_is_no_databases_answer()
    {
        using HttpServer server = await HttpServer.StartAsync();
        await server.TreatsAsync(new { status = 200, body = "<html>Please sign in</html>", type = "text/html; charset=utf-8" });
        await using Feed feed = FeedOf(Influx(server), new MemoryLane { End = 3 });
        Assert.False(await feed.StepAsync(TestContext.Current.CancellationToken));
        Assert.Equal(
            (FeedState.Refused, "The address answers with a web page, and no database does: nothing was taken. Check url and version of the feed."), (feed.Status.State, feed.Status.Reason));
        await UntilAsync(feed, s => s.BacklogEntries == 0);
        AssertInOrder(Numbers(await LinesAsync(server)), 3);
    }

    /// <summary>Runs that have ended, numbered from 1.</summary>
    private sealed class RunLane(int runs) : IFeedLane, IFeedReader
    {
        public string Name => "events";

        public long End => runs;

        public long Settled => runs;

        public IFeedReader Open() => this;

        public (long After, long Through) Span(Domain.Signals.Timestamp from, Domain.Signals.Timestamp? to) => (0, runs);

        public FeedBatch Read(long after, long through, int mostReadings)
        {
            RunItem[] items = [.. Enumerable.Range((int)after + 1, (int)Math.Min(10, through - after)).Select(n => new RunItem(
                new FedRun { Cell = 1, Number = n, Carrier = "A", Start = Sample.TimeOf(n * 10L), End = Sample.TimeOf((n * 10L) + 5), Verdict = Verdict.Pass }, Sample.TimeOf((n * 10L) + 5)))];
            return new FeedBatch(Name, items, after + items.Length);
        }

        public void Dispose()
        {
        }
    }
}
