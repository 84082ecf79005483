namespace ThermoWatch.Domain.Signals;

/// <summary>Finds the spikes of one channel in its readings as they come, one reading behind.</summary>
/// <param name="channel">The channel. A marker that is not told one looks at a temperature.</param>
/// <remarks>
/// The same readings give the same spikes as the engine finds, which looks at them through its curves.
/// It needs no more of the past than <see cref="SpikeRule.MostSeconds"/>.
/// </remarks>
public struct SpikeMarker(ChannelDefinition channel)
{
    private readonly bool _isIdle = !SpikeRule.LooksAt(channel);
    private readonly bool _isPressure = channel.Role == ChannelRole.Pressure;
    private Reading? _before;
    private Reading? _last;

    /// <summary>Takes the channel's next reading.</summary>
    /// <returns>The reading before it, marked, if that has turned out to be a spike; else null.</returns>
    public Reading? Offer(Reading reading)
    {
        if (_isIdle || !SpikeRule.MayBeJudged(reading.Quality) || reading.Time < _last?.Time) return null;
        Reading? spike = null;
        if (_last is { } last && reading.Time > last.Time)
        {
            bool isSpike = _before is { } before && IsSpike(before, last, reading);
            if (isSpike) spike = last with { Quality = SpikeRule.Mark };
            else _before = last;
        }

        _last = reading;
        return spike;
    }

    private readonly bool IsSpike(in Reading before, in Reading last, in Reading next)
    {
        (long t0, long t1, long t2) = (before.Time.UtcTicks, last.Time.UtcTicks, next.Time.UtcTicks);
        return _isPressure
            ? SpikeRule.IsPressureSpike(t0, before.Value, t1, last.Value, t2, next.Value)
            : SpikeRule.Check(t0, before.Value, t1, last.Value, t2, next.Value) is { IsSpike: true };
    }
}
