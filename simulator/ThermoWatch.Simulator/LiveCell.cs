namespace ThermoWatch.Simulator;

/// <summary>A simulated cell that lives by a clock; safe for any number of threads.</summary>
/// <remarks>It has no timer: it catches up with the clock whenever somebody looks, so an unwatched machine costs nothing.</remarks>
public sealed class LiveCell
{
    private readonly SimulatedCell _cell;
    private readonly TimeProvider _time;
    private readonly Lock _gate = new();
    private readonly long _began;
    private readonly TimeSpan _startedAt;

    /// <param name="cell">The machine; it goes on from where it stands, and nobody else may advance it any more.</param>
    /// <param name="time">The clock.</param>
    /// <param name="speed">Seconds of machine time in one second of the clock, above 0.</param>
    public LiveCell(SimulatedCell cell, TimeProvider time, double speed = 1)
    {
        ArgumentNullException.ThrowIfNull(cell);
        ArgumentNullException.ThrowIfNull(time);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(speed);
        _cell = cell;
        _time = time;
        Speed = speed;
        _startedAt = cell.MachineTime;
        StartedUtc = time.GetUtcNow();
        _began = time.GetTimestamp();
    }

    /// <summary>Called for every sample of the instruments, in order, inside the lock; keep it short.</summary>
    public Action<SimulatedCell>? Sampled { get; set; }

    /// <summary>Seconds of machine time in one second of the clock.</summary>
    public double Speed { get; }

    /// <summary>UTC at which the machine went on.</summary>
    public DateTimeOffset StartedUtc { get; }

    /// <summary>UTC at which this machine time is reached.</summary>
    public DateTimeOffset UtcAt(TimeSpan machineTime) => StartedUtc + ((machineTime - _startedAt) / Speed);

    /// <summary>Catches up with the clock and lets the caller look.</summary>
    public T Look<T>(Func<SimulatedCell, T> look)
    {
        ArgumentNullException.ThrowIfNull(look);
        lock (_gate)
        {
            TimeSpan now = _startedAt + (_time.GetElapsedTime(_began) * Speed);
            CatchUp(now);
            return look(_cell);
        }
    }

    private void CatchUp(TimeSpan now)
    {
        if (Sampled is { } sampled)
        {
            TimeSpan next = _cell.Instruments.SampledAt + SimulatedCell.SamplePeriod;
            for (; next <= now; next += SimulatedCell.SamplePeriod)
            {
                _cell.AdvanceTo(next);
                sampled(_cell);
            }
        }

        _cell.AdvanceTo(now > _cell.MachineTime ? now : _cell.MachineTime);
    }
}
