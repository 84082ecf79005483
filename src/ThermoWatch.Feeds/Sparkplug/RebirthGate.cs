namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>How often hosts may have everything told anew: a few times at once, then at a pace that leaves room for data.</summary>
/// <remarks>A request that must wait is not lost: all that wait are answered by one birth. Requests come from another thread.</remarks>
internal sealed class RebirthGate(TimeProvider time)
{
    /// <summary>Several hosts that begin together are each answered at once.</summary>
    public const int AtOnce = 3;

    /// <summary>The pace after that.</summary>
    public static readonly TimeSpan Pace = TimeSpan.FromSeconds(2);

    private double _free = AtOnce;
    private long _since = time.GetTimestamp();
    private volatile bool _asked;

    /// <summary>Whether a request is not answered yet.</summary>
    public bool IsAsked => _asked;

    /// <summary>Whether it may be answered now.</summary>
    public bool IsDue => _asked && Wait == TimeSpan.Zero;

    /// <summary>How long the next answer must wait.</summary>
    public TimeSpan Wait
    {
        get
        {
            double free = Free;
            return free >= 1 ? TimeSpan.Zero : (1 - free) * Pace;
        }
    }

    private double Free => Math.Min(AtOnce, _free + (time.GetElapsedTime(_since) / Pace));

    /// <summary>A host asks.</summary>
    public void Ask() => _asked = true;

    /// <summary>A birth is about to be told: it answers whatever was asked before.</summary>
    public void Answer()
    {
        if (_asked)
        {
            (_free, _since) = (Free - 1, time.GetTimestamp());
        }

        _asked = false;
    }
}
