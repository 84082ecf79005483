namespace ThermoWatch.Acquisition.Polling;

/// <summary>How a wait ended.</summary>
internal enum Awaited
{
    /// <summary>The moment has come.</summary>
    Due,

    /// <summary>Somebody wants something before it.</summary>
    Woken,

    /// <summary>It shall stop.</summary>
    Stopped,
}

/// <summary>Lets a bus's thread wait until a moment of its clock, or until it shall stop.</summary>
internal sealed class Pause : IDisposable
{
    private const int WakeHandle = 2;

    /// <summary>Timers cannot wait for ever; the loop asks again.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromHours(1);

    private readonly TimeProvider _time;
    private readonly CancellationToken _stop;
    private readonly ITimer? _timer;
    private readonly AutoResetEvent _elapsed = new(false);
    private readonly WaitHandle[] _handles, _handlesWithWake;

    public Pause(TimeProvider time, CancellationToken stop)
    {
        _time = time;
        _stop = stop;
        _handles = [stop.WaitHandle, _elapsed];
        _handlesWithWake = [stop.WaitHandle, _elapsed, _elapsed];

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
    public bool Until(long due) => Until(due, null) == Awaited.Due;

    /// <summary>Waits until then, or until it is woken.</summary>
    public Awaited Until(long due, AutoResetEvent? wake)
    {
        while (!_stop.IsCancellationRequested)
        {
            var left = new TimeSpan(due - Now);
            if (left <= TimeSpan.Zero) return Awaited.Due;
            if (left > Longest) left = Longest;
            if (_timer is null)
            {
                int milliseconds = (int)Math.Ceiling(left.TotalMilliseconds);
                if (wake is null) _stop.WaitHandle.WaitOne(milliseconds);
                else if (WaitHandle.WaitAny(Handles(wake), milliseconds) == WakeHandle) return Awaited.Woken;
                continue;
            }

            _timer.Change(left, Timeout.InfiniteTimeSpan);
            Waiting?.Invoke(left);
            if (WaitHandle.WaitAny(wake is null ? _handles : Handles(wake)) == WakeHandle && wake is not null) return Awaited.Woken;
        }

        return Awaited.Stopped;
    }

    private WaitHandle[] Handles(AutoResetEvent wake)
    {
        _handlesWithWake[WakeHandle] = wake;
        return _handlesWithWake;
    }

    public void Dispose()
    {
        _timer?.Dispose();
        _elapsed.Dispose();
    }
}
