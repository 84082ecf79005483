namespace ThermoWatch.Acquisition.Polling;

/// <summary>Who is polled next on a bus. Pure: times come in as monotonic ticks of 100 ns.</summary>
/// <remarks>
/// Each device keeps its own grid. A poll that could not begin in its slot is counted as late and left out,
/// never made up for: polls piled up would delay every device behind them.
/// </remarks>
internal sealed class PollSchedule
{
    private readonly long[] _period, _due, _late;

    /// <param name="periods">One a device.</param>
    /// <param name="now">First polls are spread over the periods from here on.</param>
    public PollSchedule(IReadOnlyList<TimeSpan> periods, long now)
    {
        _period = [.. periods.Select(p => Math.Max(0, p.Ticks))];
        _due = new long[_period.Length];
        _late = new long[_period.Length];
        Restart(now);
    }

    /// <summary>Polls left out because the bus was busy.</summary>
    public long Late(int device) => _late[device];

    /// <summary>When a device is due.</summary>
    public long Due(int device) => _due[device];

    /// <summary>The device that is due first, and when; of several the one with the shortest period.</summary>
    public int Next(out long due)
    {
        int next = 0;
        for (int i = 1; i < _due.Length; i++)
            if (_due[i] < _due[next] || (_due[i] == _due[next] && _period[i] < _period[next])) next = i;
        due = _due[next];
        return next;
    }

    /// <summary>A poll of a device has ended: its next slot that still lies ahead. Returns how many were left out.</summary>
    public long Done(int device, long now)
    {
        if (_period[device] == 0)
        {
            _due[device] = now;
            return 0;
        }

        _due[device] += _period[device];
        if (_due[device] >= now) return 0;

        // The slot that is running now can still be used, late but in it.
        long missed = (now - _due[device]) / _period[device];
        _due[device] += missed * _period[device];
        _late[device] += missed;
        return missed;
    }

    /// <summary>Leaves a device alone for a while; slots until then do not count as late.</summary>
    public void Defer(int device, long until) => _due[device] = Math.Max(_due[device], until);

    /// <summary>Begins all grids anew, devices of equal period spread over it.</summary>
    public void Restart(long now)
    {
        for (int i = 0; i < _due.Length; i++) _due[i] = now + (_period[i] / _period.Length * i);
    }
}
