namespace ThermoWatch.Feeds;

/// <summary>How a feed goes about its work, whatever its target.</summary>
/// <param name="Id">Names the feed among those of the node.</param>
public sealed record FeedOptions(string Id)
{
    /// <summary>Readings sent at once, at most about.</summary>
    public int BatchReadings { get; init; } = 5000;

    /// <summary>How often it is looked whether there is something to send: what a live value may be late by our doing.</summary>
    public TimeSpan Period { get; init; } = TimeSpan.FromMilliseconds(100);

    /// <summary>How long one batch may take until it counts as not confirmed.</summary>
    public TimeSpan Timeout { get; init; } = TimeSpan.FromSeconds(10);

    /// <summary>First wait after a failure; it doubles with each failure after it.</summary>
    public TimeSpan FirstWait { get; init; } = TimeSpan.FromSeconds(0.5);

    /// <summary>Longest wait between attempts.</summary>
    public TimeSpan LongestWait { get; init; } = TimeSpan.FromSeconds(30);

    /// <summary>From this lag on it is an alarm.</summary>
    public TimeSpan AlarmAfter { get; init; } = TimeSpan.FromSeconds(60);

    /// <summary>
    /// From this lag on the backlog is sent beside live values, oldest first, instead of before them; null: everything in one order.
    /// </summary>
    public TimeSpan? LiveFirstAfter { get; init; }

    /// <summary>Readings a second that a backfill may send; null: as many as go, live values always first.</summary>
    public double? BackfillReadingsPerSecond { get; init; }

    /// <summary>How often the position is written down, at most. What was confirmed since is sent once more after a crash.</summary>
    public TimeSpan SavePeriod { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>Whether a feed that has never run begins with the oldest entry; else with what comes from now on.</summary>
    public bool FromBeginning { get; init; }
}
