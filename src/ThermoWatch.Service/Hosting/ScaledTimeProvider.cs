namespace ThermoWatch.Service.Hosting;

/// <summary>A clock that runs faster or slower than the wall's, from the moment it is made. Only for the demo.</summary>
internal sealed class ScaledTimeProvider : TimeProvider
{
    private readonly TimeProvider _real;
    private readonly double _speed;
    private readonly DateTimeOffset _start;
    private readonly long _startTimestamp;

    public ScaledTimeProvider(TimeProvider real, double speed)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(speed);
        _real = real;
        _speed = speed;
        _start = real.GetUtcNow();
        _startTimestamp = real.GetTimestamp();
    }

    public override long TimestampFrequency => _real.TimestampFrequency;

    public override TimeZoneInfo LocalTimeZone => _real.LocalTimeZone;

    public override long GetTimestamp() => _startTimestamp + (long)((_real.GetTimestamp() - _startTimestamp) * _speed);

    public override DateTimeOffset GetUtcNow() => _start + (_real.GetElapsedTime(_startTimestamp) * _speed);

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period) =>
        new ScaledTimer(_real.CreateTimer(callback, state, ToReal(dueTime), ToReal(period)), this);

    private TimeSpan ToReal(TimeSpan span) => span <= TimeSpan.Zero ? span : TimeSpan.FromTicks(Math.Max(TimeSpan.TicksPerMillisecond, (long)(span.Ticks / _speed)));

    private sealed class ScaledTimer : ITimer
    {
        private readonly ITimer _timer;
        private readonly ScaledTimeProvider _clock;

        public ScaledTimer(ITimer timer, ScaledTimeProvider clock)
        {
            _timer = timer;
            _clock = clock;
        }

        public bool Change(TimeSpan dueTime, TimeSpan period) => _timer.Change(_clock.ToReal(dueTime), _clock.ToReal(period));

        public void Dispose() => _timer.Dispose();

        public ValueTask DisposeAsync() => _timer.DisposeAsync();
    }
}
