namespace ThermoWatch.Domain.Files;

/// <summary>Counts the steps between a channel's readings, to know their median without keeping them.</summary>
internal sealed class StepCensus
{
    /// <summary>Steps told apart. Clocks that jitter over more than these are counted ten times as coarsely, again and again.</summary>
    private const int MostKinds = 1 << 16;

    private Dictionary<long, long> _counts = [];
    private long _unit = 1;
    private long _last;
    private long _step;
    private long _alike;

    /// <summary>Readings counted.</summary>
    public long Readings { get; private set; }

    /// <summary>Median of the steps; a second where there is none.</summary>
    public TimeSpan Median
    {
        get
        {
            Flush();
            long middle = _counts.Values.Sum() / 2;
            foreach ((long step, long count) in _counts.OrderBy(c => c.Key))
            {
                if ((middle -= count) < 0)
                {
                    return new TimeSpan(step);
                }
            }

            return TimeSpan.FromSeconds(1);
        }
    }

    /// <summary>Takes the time of the next reading; one at the same time makes no step.</summary>
    public void Add(long ticks)
    {
        long step = ticks - _last;
        if (Readings > 0 && step > 0)
        {
            if (step != _step)
            {
                Flush();
                _step = step;
            }

            _alike++;
        }

        _last = ticks;
        Readings++;
    }

    private void Flush()
    {
        if (_alike == 0)
        {
            return;
        }

        Count(_counts, _step, _alike);
        _alike = 0;
        if (_counts.Count > MostKinds)
        {
            _unit *= 10;
            Dictionary<long, long> coarser = [];
            foreach ((long step, long count) in _counts)
            {
                Count(coarser, step, count);
            }

            _counts = coarser;
        }
    }

    private void Count(Dictionary<long, long> counts, long step, long count)
    {
        long kind = Math.Max(1, (step + (_unit / 2)) / _unit * _unit);
        counts[kind] = counts.GetValueOrDefault(kind) + count;
    }
}
