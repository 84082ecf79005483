namespace ThermoWatch.Acquisition;

/// <summary>Notices when the host's wall clock is set. Times in the record go on unbroken; that it happened belongs into it.</summary>
/// <remarks>A clock that is slewed into place, at most 0.5 ms a second by common practice, is no step: only the change from look to look counts.</remarks>
/// <param name="clock">The clock that names times.</param>
/// <param name="time">What it is anchored to.</param>
public sealed class ClockWatch(AnchoredClock clock, TimeProvider time)
{
    /// <summary>Less is not told: time services slew what is smaller (128 ms is the usual bound), and a busy computer reads two clocks apart.</summary>
    private static readonly TimeSpan LeastStep = TimeSpan.FromMilliseconds(100);

    private static readonly TimeSpan QuickReading = TimeSpan.FromMilliseconds(10);
    private TimeSpan _ahead = clock.WallClockAhead;

    /// <summary>Looks, best once a second.</summary>
    /// <returns>By how much the wall clock was set since the last look; null if it was not.</returns>
    public TimeSpan? Look()
    {
        if (Ahead() is not { } ahead) return null;
        TimeSpan step = ahead - _ahead;
        _ahead = ahead;
        return step.Duration() >= LeastStep ? step : null;
    }

    // Two clocks are read one after the other: if this thread was held up between, the difference means nothing.
    private TimeSpan? Ahead()
    {
        for (int attempt = 0; attempt < 5; attempt++)
        {
            long began = time.GetTimestamp();
            TimeSpan ahead = clock.WallClockAhead;
            if (time.GetElapsedTime(began) < QuickReading) return ahead;
        }

        return null;
    }
}
