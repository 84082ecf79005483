namespace ThermoWatch.Domain.Signals;

/// <summary>Finds the spikes of one temperature channel in its readings as they come, one reading behind.</summary>
/// <remarks>
/// The same readings give the same spikes as the engine finds, which looks at them through its curves.
/// It needs no more of the past than <see cref="SpikeRule.MostSeconds"/>.
/// </remarks>
public struct SpikeMarker
{
    private Reading? _before;
    private Reading? _last;

    /// <summary>Takes the channel's next reading.</summary>
    /// <returns>The reading before it, marked, if that has turned out to be a spike; else null.</returns>
    public Reading? Offer(Reading reading)
    {
        if (!SpikeRule.MayBeJudged(reading.Quality) || reading.Time < _last?.Time) return null;
        Reading? spike = null;
        if (_last is { } last && reading.Time > last.Time)
        {
            bool isSpike = _before is { } before && SpikeRule.Check(
                before.Time.UtcTicks, before.Value, last.Time.UtcTicks, last.Value, reading.Time.UtcTicks, reading.Value) is { IsSpike: true };
            if (isSpike) spike = last with { Quality = SpikeRule.Mark };
            else _before = last;
        }

        _last = reading;
        return spike;
    }
}
