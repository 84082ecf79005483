namespace ThermoWatch.Recording.Chain;

/// <summary>What the audit trail can say that was done. The contributor guide explains each; a name once written is never used for something else.</summary>
public static class AuditActions
{
    /// <summary>The service has started.</summary>
    public const string ServiceStarted = "service.started";

    /// <summary>The service was stopped, and ended in order.</summary>
    public const string ServiceStopped = "service.stopped";

    /// <summary>Another configuration than the last one is in force.</summary>
    public const string ConfigurationChanged = "configuration.changed";

    /// <summary>A version of a spec is kept that was not there.</summary>
    public const string SpecAdded = "spec.added";

    /// <summary>How a device is asked was changed while the service ran.</summary>
    public const string DeviceChanged = "device.changed";

    /// <summary>Somebody or a code said what a carrier's next run solders.</summary>
    public const string ProductNext = "product.next";

    /// <summary>Somebody or a program said that a run begins.</summary>
    public const string RunBegun = "run.begun";

    /// <summary>Somebody or a program said that a run ends.</summary>
    public const string RunEnded = "run.ended";

    /// <summary>Somebody said what an open run is for.</summary>
    public const string RunKind = "run.kind";

    /// <summary>Somebody said that they acted on the machine during a run.</summary>
    public const string RunIntervention = "run.intervention";

    /// <summary>The readings of a run were taken out of the record.</summary>
    public const string RunRemoved = "run.removed";

    /// <summary>A feed was told to wait.</summary>
    public const string FeedPaused = "feed.paused";

    /// <summary>A feed was told to go on.</summary>
    public const string FeedResumed = "feed.resumed";

    /// <summary>A feed was told to send a span once more.</summary>
    public const string FeedBackfill = "feed.backfill";

    /// <summary>A feed was told to let such a span be.</summary>
    public const string FeedBackfillCancelled = "feed.backfill.cancelled";

    /// <summary>Lines that a feed's target had refused were sent again.</summary>
    public const string FeedQuarantineRetried = "feed.quarantine.retried";

    /// <summary>Lines that a feed's target had refused were thrown away.</summary>
    public const string FeedQuarantineDiscarded = "feed.quarantine.discarded";

    /// <summary>Somebody has seen that a feed's target refuses lines.</summary>
    public const string FeedQuarantineSeen = "feed.quarantine.seen";
}
