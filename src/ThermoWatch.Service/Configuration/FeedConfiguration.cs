using ThermoWatch.Domain.Engine;
using ThermoWatch.Feeds;

namespace ThermoWatch.Service.Configuration;

/// <summary>What a target must know of the node that it belongs to.</summary>
/// <param name="Cells">The cells that are fed, as they are wired now.</param>
/// <param name="Folder">Where it may keep what must outlive a restart.</param>
/// <param name="Time">The clock.</param>
public sealed record FeedContext(IReadOnlyList<CellDefinition> Cells, string Folder, TimeProvider Time);

/// <summary>One feed as it is configured.</summary>
/// <param name="Options">How it works.</param>
/// <param name="Cells">Numbers of the cells that it tells of; empty: all.</param>
/// <param name="SendsReadings">Whether readings are sent; else runs and alarms only.</param>
/// <param name="Target">Makes its target.</param>
public sealed record FeedConfiguration(FeedOptions Options, IReadOnlyList<int> Cells, bool SendsReadings, Func<FeedContext, IFeedTarget> Target)
{
    /// <summary>Where it stands in the file, such as <c>feeds[0]</c>.</summary>
    public string Path { get; init; } = "";

    /// <summary>The key that leaves its secret without encryption on the way to another computer; null: none does.</summary>
    public string? InClear { get; init; }

    /// <summary>How finely its readings' times are sent, and where the file says so.</summary>
    public FeedStep Step { get; init; } = FeedStep.Full;
}

/// <summary>What a kind of feed makes of its keys.</summary>
/// <param name="Target">Makes its target.</param>
internal sealed record FeedMaker(Func<FeedContext, IFeedTarget> Target)
{
    /// <summary>How finely times are sent: as the record has them unless said otherwise.</summary>
    public FeedStep Step { get; init; } = FeedStep.Full;

    /// <summary>The key that leaves its secret without encryption on the way to another computer; null: none does.</summary>
    public string? InClear { get; init; }
}

/// <summary>How finely a feed's times are sent.</summary>
/// <param name="Length">Readings of one channel that lie closer together may become one.</param>
/// <param name="Word">What the file says of it, or would if it said it: ms, us; null: its kind leaves no choice.</param>
public sealed record FeedStep(TimeSpan Length, string? Word)
{
    /// <summary>As the record has them: no two scans of a device have one time.</summary>
    public static FeedStep Full { get; } = new(TimeSpan.FromTicks(1), null);
}
