using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Tests.Core;

/// <summary>A record in memory.</summary>
internal sealed class MemoryLane(string name = "cell-1") : IFeedLane
{
    private readonly CellDefinition _cell = Sample.Cell();

    public string Name => name;

    public long End { get; set; }

    public long Settled { get => Math.Min(End, _settled ?? End); set => _settled = value; }

    private long? _settled;

    /// <summary>Entries that no feed sends, as a second without readings has them.</summary>
    public Func<long, bool> IsEmpty { get; set; } = _ => false;

    public IFeedReader Open() => new Reader(this);

    public (long After, long Through) Span(Timestamp from, Timestamp? to) => (
        Math.Max(0, (long)Math.Ceiling((from - Sample.Start) / TimeSpan.FromSeconds(0.1)) - 1),
        to is { } until ? (long)((until - Sample.Start) / TimeSpan.FromSeconds(0.1)) : End);

    private sealed class Reader(MemoryLane lane) : IFeedReader
    {
        public FeedBatch Read(long after, long through, int mostReadings)
        {
            List<FeedItem> items = [];
            long at = after;
            while (at < Math.Min(through, lane.End) && items.Sum(i => i.Weight) < mostReadings)
            {
                at++;
                if (!lane.IsEmpty(at))
                {
                    items.Add(Sample.Scan(lane._cell, at));
                }
            }

            return new FeedBatch(lane.Name, items, at);
        }

        public void Dispose()
        {
        }
    }
}

/// <summary>A target that does as it is told and remembers what it has confirmed, and what it was ever sent.</summary>
internal sealed class FakeTarget : IFeedTarget
{
    public List<long> Confirmed { get; } = [];

    public List<long> Seen { get; } = [];

    public List<FeedBatch> Batches { get; } = [];

    public Func<FeedBatch, Delivery> Answer { get; set; } = _ => Delivery.Confirmed;

    /// <summary>What it says to lines that it once refused.</summary>
    public Func<IReadOnlyList<string>, Delivery> AnswerAgain { get; set; } = _ => Delivery.Confirmed;

    public List<string> SeenAgain { get; } = [];

    /// <summary>What was taken, kind by kind, in its order.</summary>
    public List<string> Order { get; } = [];

    public string Rule { get; set; } = "ns";

    /// <summary>Answers only when this does.</summary>
    public Task? Holds { get; set; }

    /// <summary>Calls the feed: what kept batches back is gone.</summary>
    public Action Again { get; private set; } = () => { };

    public void WhenReady(Action again) => Again = again;

    public string Kind => "fake";

    public string Address => "nowhere";

    public string PrecisionRule => Rule;

    /// <summary>How finely it is sent times.</summary>
    public TimeSpan Step { get; set; } = TimeSpan.FromTicks(1);

    public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
    {
        Seen.AddRange(batch.Items.Cast<ScanItem>().Select(i => i.Sequence));
        if (Holds is { } holds)
        {
            await holds.WaitAsync(stopping);
        }

        Delivery answer = Answer(batch);
        if (answer.Outcome is DeliveryOutcome.Delivered or DeliveryOutcome.Partly)
        {
            Batches.Add(batch);
            Order.Add(batch.IsHistorical ? "past" : "live");
            Confirmed.AddRange(batch.Items.Cast<ScanItem>().Select(i => i.Sequence));
        }

        return answer;
    }

    public Task<Delivery> SendAgainAsync(IReadOnlyList<string> lines, CancellationToken stopping)
    {
        SeenAgain.AddRange(lines);
        Delivery answer = AnswerAgain(lines);
        if (answer.Outcome is DeliveryOutcome.Delivered or DeliveryOutcome.Partly)
        {
            Order.Add("again");
        }

        return Task.FromResult(answer);
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}

/// <summary>A feed with a clock that only the test moves.</summary>
internal sealed class Bench : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("feeds").FullName;

    public Bench(FeedOptions? options = null, params MemoryLane[] lanes)
        : this(new FakeTarget(), options, lanes)
    {
    }

    public Bench(FakeTarget target, FeedOptions? options = null, params MemoryLane[] lanes)
    {
        Target = target;
        Lanes = lanes.Length > 0 ? lanes : [new MemoryLane()];
        Options = options ?? new FeedOptions("plant") { FromBeginning = true };
        Time.SetUtcNow(Sample.Start.ToDateTimeOffset());
        Feed = Open();
    }

    public FakeTimeProvider Time { get; } = new();

    public MemoryLane[] Lanes { get; }

    public MemoryLane Lane => Lanes[0];

    public FakeTarget Target { get; }

    public FeedOptions Options { get; }

    public Feed Feed { get; private set; }

    public List<string> Said { get; } = [];

    public string FolderPath => _folder;

    /// <summary>Steps until there is nothing more to do at once; most is a guard.</summary>
    public async Task RunDryAsync(int most = 1000)
    {
        while (await Feed.StepAsync(TestContext.Current.CancellationToken))
        {
            Assert.True(most-- > 0, "The feed does not come to rest.");
        }
    }

    /// <summary>Time goes by in steps of the feed's period.</summary>
    public async Task LiveAsync(TimeSpan span, Action? eachStep = null)
    {
        for (TimeSpan gone = TimeSpan.Zero; gone < span; gone += Options.Period)
        {
            Time.Advance(Options.Period);
            eachStep?.Invoke();
            await RunDryAsync();
        }
    }

    /// <summary>The process ends without a word, and comes back.</summary>
    public void Crash() => Feed = Open();

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private Feed Open() => new(Options, Lanes, Target, new FeedFolder(_folder), Time, new Random(1), Said.Add);
}
