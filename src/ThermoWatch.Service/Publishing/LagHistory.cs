namespace ThermoWatch.Service.Publishing;

/// <summary>How late a feed was in the last hour: the worst of each half minute, since the start of the service.</summary>
internal sealed class LagHistory
{
    /// <summary>Width of a step.</summary>
    public static readonly TimeSpan Step = TimeSpan.FromSeconds(30);

    private const int Steps = 120;
    private readonly Lock _gate = new();
    private readonly Queue<LagStep> _steps = new();
    private LagStep? _open;

    /// <summary>Takes what is known now.</summary>
    public void Take(DateTimeOffset now, TimeSpan lag, long backlog)
    {
        DateTimeOffset start = new(now.UtcTicks - (now.UtcTicks % Step.Ticks), TimeSpan.Zero);
        lock (_gate)
        {
            if (_open is { } open && open.Start == start)
            {
                _open = open with { Worst = lag > open.Worst ? lag : open.Worst, Backlog = Math.Max(backlog, open.Backlog) };
                return;
            }

            if (_open is { } done)
            {
                _steps.Enqueue(done);
                if (_steps.Count >= Steps)
                {
                    _steps.Dequeue();
                }
            }

            _open = new LagStep(start, lag, backlog);
        }
    }

    /// <summary>Oldest first, the one that is going on last.</summary>
    public IReadOnlyList<LagStep> Look()
    {
        lock (_gate)
        {
            return _open is { } open ? [.. _steps, open] : [.. _steps];
        }
    }
}

/// <summary>A half minute of a feed.</summary>
/// <param name="Start">Where it begins.</param>
/// <param name="Worst">Greatest lag in it.</param>
/// <param name="Backlog">Most entries that were not confirmed.</param>
internal sealed record LagStep(DateTimeOffset Start, TimeSpan Worst, long Backlog);
