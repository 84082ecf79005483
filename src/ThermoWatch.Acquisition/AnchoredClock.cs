using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition;

/// <summary>Names moments of the monotonic clock in UTC, through an anchor that only <see cref="TryAnchorAnew"/> moves.</summary>
/// <remarks>
/// A wall clock that is set back or forth would reorder readings and stretch durations. Here UTC is a label:
/// one pair of wall time and monotonic time is taken at the start, and everything after counts from it.
/// Safe for use by several threads.
/// </remarks>
public sealed class AnchoredClock
{
    private readonly TimeProvider _time;
    private readonly Lock _gate = new();
    private Anchor _anchor;

    /// <summary>Anchors to the wall clock as it stands now.</summary>
    public AnchoredClock(TimeProvider time)
    {
        _time = time;
        _anchor = new Anchor(time.GetTimestamp(), time.GetUtcNow().UtcTicks);
    }

    /// <summary>UTC of this moment.</summary>
    public Timestamp Now => At(_time.GetTimestamp());

    /// <summary>UTC of a moment that was taken from the same <see cref="TimeProvider.GetTimestamp"/>.</summary>
    public Timestamp At(long monotonic) => Volatile.Read(ref _anchor).Utc(monotonic, _time.TimestampFrequency);

    /// <summary>UTC halfway between two such moments: when an instrument measured what it answered, as far as can be known.</summary>
    public Timestamp Middle(long earlier, long later) => At(earlier + ((later - earlier) / 2));

    /// <summary>How far the wall clock is ahead of this one; a sudden change of it is a step of the wall clock.</summary>
    public TimeSpan WallClockAhead => new(_time.GetUtcNow().UtcTicks - Now.UtcTicks);

    /// <summary>Takes the wall clock's time as it stands now, if no moment named so far lies after it.</summary>
    /// <remarks>Call only while no run is open: durations across the step are wrong by the step.</remarks>
    /// <param name="latestNamed">The latest time that has gone into the record.</param>
    /// <param name="step">By how much UTC jumped; zero if it was refused.</param>
    /// <returns>False if the wall clock is behind the record: then the old anchor stays, so that times keep rising.</returns>
    public bool TryAnchorAnew(Timestamp latestNamed, out TimeSpan step)
    {
        lock (_gate)
        {
            var anew = new Anchor(_time.GetTimestamp(), _time.GetUtcNow().UtcTicks);
            step = TimeSpan.Zero;
            if (anew.UtcTicks <= latestNamed.UtcTicks) return false;
            step = new TimeSpan(anew.UtcTicks - At(anew.Monotonic).UtcTicks);
            Volatile.Write(ref _anchor, anew);
            return true;
        }
    }

    private sealed record Anchor(long Monotonic, long UtcTicks)
    {
        // 128 bits: nanoseconds times ticks a second pass 63 bits after a quarter of an hour, and a double loses ticks after months.
        public Timestamp Utc(long monotonic, long frequency) =>
            new(UtcTicks + (long)((Int128)(monotonic - Monotonic) * Timestamp.TicksPerSecond / frequency));
    }
}
