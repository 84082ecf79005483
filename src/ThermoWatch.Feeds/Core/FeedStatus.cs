namespace ThermoWatch.Feeds;

/// <summary>How a feed stands.</summary>
public enum FeedState
{
    /// <summary>Everything is sent, or being sent.</summary>
    Sending,

    /// <summary>The last attempt failed; the next one is due by itself.</summary>
    Waiting,

    /// <summary>The other side does not let us in; it is tried again rarely.</summary>
    Refused,

    /// <summary>A person has paused it. Nothing is lost meanwhile.</summary>
    Paused,
}

/// <summary>How a feed stands, for whoever shows it or makes an alarm of it.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Kind">What its target is.</param>
/// <param name="Address">Where it is, without any secret.</param>
/// <param name="PrecisionRule">The rule by which times are made coarser.</param>
/// <param name="State">How it stands.</param>
/// <param name="Reason">What the other side said last when it did not confirm; empty while all is well.</param>
/// <param name="Lag">Age of the oldest entry that is not confirmed; zero if everything is. Backfills do not count.</param>
/// <param name="BacklogEntries">Entries of the record that are not confirmed. Backfills do not count.</param>
/// <param name="ConfirmedReadings">Readings confirmed since the start of the service, backfills included.</param>
/// <param name="RejectedLines">Lines that the other side would not take since the start of the service.</param>
/// <param name="LastRejected">The newest of them.</param>
/// <param name="Failures">Attempts in a row that failed.</param>
/// <param name="Backfills">What is being sent of the past.</param>
/// <param name="Lanes">Position of each lane: the last entry confirmed, and the newest recorded.</param>
/// <param name="Quarantine">What the other side would not take and is kept.</param>
public sealed record FeedStatus(
    string Id, string Kind, string Address, string PrecisionRule, FeedState State, string Reason, TimeSpan Lag, long BacklogEntries,
    long ConfirmedReadings, long RejectedLines, IReadOnlyList<RejectedLine> LastRejected, int Failures,
    IReadOnlyList<BackfillStatus> Backfills, IReadOnlyList<LaneStatus> Lanes, QuarantineStatus Quarantine)
{
    /// <summary>Scans confirmed since the start whose time, as it is sent, is that of the same device's scan before: whoever keeps values by time keeps one of them.</summary>
    /// <remarks>Backfills do not count.</remarks>
    public long SharedTimes { get; init; }
}

/// <summary>What is kept of what the other side would not take.</summary>
/// <param name="Lines">How many lines.</param>
/// <param name="Since">When the oldest of them was refused; null if there is none.</param>
/// <param name="Words">What the other side said of the newest.</param>
/// <param name="IsNew">Whether any of them came since somebody last said to have seen them: that is an alarm.</param>
/// <param name="Resending">How many are to be sent once more.</param>
/// <param name="Last">When the newest of them was refused; null if there is none.</param>
public sealed record QuarantineStatus(long Lines, DateTimeOffset? Since, string Words, bool IsNew, int Resending, DateTimeOffset? Last = null);

/// <summary>Position of one lane.</summary>
/// <param name="Lane">Its name.</param>
/// <param name="Confirmed">Last entry confirmed.</param>
/// <param name="End">Newest entry recorded.</param>
public sealed record LaneStatus(string Lane, long Confirmed, long End);

/// <summary>A stretch of the past on its way.</summary>
/// <param name="Lane">Name of the lane.</param>
/// <param name="First">First entry of the stretch.</param>
/// <param name="Confirmed">Last entry confirmed.</param>
/// <param name="Last">Last entry of the stretch.</param>
/// <param name="Share">How much of it is confirmed, from 0 to 1.</param>
/// <param name="Owed">Whether it is a backlog that live values have passed by, and not asked for by a person.</param>
public sealed record BackfillStatus(string Lane, long First, long Confirmed, long Last, double Share, bool Owed);
