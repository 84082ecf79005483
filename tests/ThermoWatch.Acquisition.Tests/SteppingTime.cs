namespace ThermoWatch.Acquisition.Tests;

/// <summary>A clock whose wall time can be stepped apart from its monotonic time.</summary>
internal sealed class SteppingTime(DateTimeOffset start) : TimeProvider
{
    private TimeSpan _elapsed, _step;

    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    public void Advance(TimeSpan by) => _elapsed += by;

    public void StepWallClock(TimeSpan by) => _step += by;

    /// <summary>Passes after each reading of the wall clock.</summary>
    public TimeSpan BetweenReadings { get; set; }

    public override DateTimeOffset GetUtcNow()
    {
        DateTimeOffset now = start + _elapsed + _step;
        _elapsed += BetweenReadings;
        return now;
    }

    public override long GetTimestamp() => _elapsed.Ticks;
}
