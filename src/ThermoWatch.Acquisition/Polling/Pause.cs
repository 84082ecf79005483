namespace ThermoWatch.Acquisition.Polling;

/// <summary>Lets a bus's thread wait until a moment of its clock, or until it shall stop.</summary>
internal sealed class Pause : IDisposable
{
    /// <summary>Timers cannot wait for ever; the loop asks again.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromHours(1);

    private readonly TimeProvider _time;
    private readonly CancellationToken _stop;
    private readonly ITimer? _timer;
    private readonly AutoResetEvent _elapsed = new(false);
    private readonly WaitHandle[] _handles;

    public Pause(TimeProvider time, CancellationToken stop)
    {
        _time = time;
        _stop = stop;
        _handles = [stop.WaitHandle, _elapsed];

        // The system's clock needs no timer: a wait of its own is exact and does not depend on a free pool thread.
        if (time != TimeProvider.System)
            _timer = time.CreateTimer(state => ((AutoResetEvent)state!).Set(), _elapsed, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    /// <summary>Called when the thread is about to wait so long; a test that owns the clock then moves it.</summary>
    public Action<TimeSpan>? Waiting { get; init; }

    /// <summary>Monotonic time in ticks of 100 ns, for schedules.</summary>
    public long Now => Ticks(_time, _time.GetTimestamp());

    public static long Ticks(TimeProvider time, long timestamp) =>
        (long)((Int128)timestamp * TimeSpan.TicksPerSecond / time.TimestampFrequency);

    /// <summary>Waits until then. False if it shall stop.</summary>
    public bool Until(long due)
    {
        while (!_stop.IsCancellationRequested)
        {
            var left = new TimeSpan(due - Now);
            if (left <= TimeSpan.Zero) return true;
            if (left > Longest) left = Longest;
            if (_timer is null)
            {
                _stop.WaitHandle.WaitOne((int)Math.Min(int.MaxValue, Math.Ceiling(left.TotalMilliseconds)));
                continue;
            }

            _timer.Change(left, Timeout.InfiniteTimeSpan);
            Waiting?.Invoke(left);
            WaitHandle.WaitAny(_handles);
        }

        return false;
    }

    public void Dispose()
    {
        _timer?.Dispose();
        _elapsed.Dispose();
    }
}
