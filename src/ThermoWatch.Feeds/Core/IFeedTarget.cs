namespace ThermoWatch.Feeds;

/// <summary>Somebody who is sent the record. Delivers one batch at a time and answers only when the other side has confirmed it.</summary>
public interface IFeedTarget : IAsyncDisposable
{
    /// <summary>What it is, such as <c>influx</c>.</summary>
    string Kind { get; }

    /// <summary>Where it is, without any secret.</summary>
    string Address { get; }

    /// <summary>The rule by which times are made coarser, in plain words.</summary>
    string PrecisionRule { get; }

    /// <summary>How finely times are sent: readings of one channel that lie closer together may become one. The record's 100 ns unless said otherwise.</summary>
    TimeSpan Step => TimeSpan.FromTicks(1);

    /// <summary>Delivers a batch. What the network or the other side can do is an outcome, not an exception.</summary>
    Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping);

    /// <summary>Sends lines once more that this target once refused; for targets that set lines aside.</summary>
    Task<Delivery> SendAgainAsync(IReadOnlyList<string> lines, CancellationToken stopping) =>
        Task.FromResult(Delivery.Refused("This kind of target sets no lines aside."));

    /// <summary>Called again and again while there is nothing to deliver, so that connections live.</summary>
    /// <returns>What is wrong; null if nothing is.</returns>
    Task<string?> TendAsync(CancellationToken stopping) => Task.FromResult<string?>(null);

    /// <summary>Names whom to tell when what kept batches back is gone, so that the next attempt need not wait.</summary>
    /// <param name="again">May be called on any thread.</param>
    void WhenReady(Action again)
    {
    }
}

/// <summary>What became of a batch.</summary>
public enum DeliveryOutcome
{
    /// <summary>Confirmed, all of it.</summary>
    Delivered,

    /// <summary>Confirmed, but for single lines that the other side will never take; they are named.</summary>
    Partly,

    /// <summary>Not confirmed; later it may be.</summary>
    TryAgain,

    /// <summary>The other side does not let us in, or has no such place: somebody must act. It is tried again, rarely.</summary>
    Refused,
}

/// <summary>What became of a batch, in the other side's words.</summary>
/// <param name="Outcome">What became of it.</param>
/// <param name="Words">What the other side said, or what is wrong with the way to it; empty if nothing.</param>
public sealed record Delivery(DeliveryOutcome Outcome, string Words = "")
{
    /// <summary>All is well.</summary>
    public static Delivery Confirmed { get; } = new(DeliveryOutcome.Delivered);

    /// <summary>What the other side will never take, each with its words.</summary>
    public IReadOnlyList<RejectedLine> Rejected { get; init; } = [];

    /// <summary>How long the other side asks us to wait; null if it does not say.</summary>
    public TimeSpan? RetryAfter { get; init; }

    /// <summary>Not now.</summary>
    public static Delivery Later(string words, TimeSpan? after = null) => new(DeliveryOutcome.TryAgain, words) { RetryAfter = after };

    /// <summary>Not without somebody's doing.</summary>
    public static Delivery Refused(string words) => new(DeliveryOutcome.Refused, words);

    /// <summary>All but these.</summary>
    public static Delivery AllBut(IReadOnlyList<RejectedLine> rejected) =>
        rejected.Count == 0 ? Confirmed : new(DeliveryOutcome.Partly, rejected[0].Words) { Rejected = rejected };
}

/// <summary>A line that the other side will never take.</summary>
/// <param name="Line">As it was sent.</param>
/// <param name="Words">What the other side said.</param>
public sealed record RejectedLine(string Line, string Words);
