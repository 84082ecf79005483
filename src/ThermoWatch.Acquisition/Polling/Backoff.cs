namespace ThermoWatch.Acquisition.Polling;

/// <summary>Pauses between attempts: each twice the one before up to a cap, and shortened at random.</summary>
/// <remarks>At random, so that many clients of one gateway that restarts do not all come back in the same instant.</remarks>
internal sealed class Backoff(TimeSpan first, TimeSpan cap, Random random)
{
    private int _attempts;

    /// <summary>The next pause: between half and all of its nominal length.</summary>
    public TimeSpan Next()
    {
        double nominal = Math.Min(first.Ticks * Math.Pow(2, Math.Min(_attempts, 40)), cap.Ticks);
        _attempts++;
        return new TimeSpan((long)(nominal * (0.5 + (0.5 * random.NextDouble()))));
    }

    /// <summary>Begins anew with the first pause.</summary>
    public void Reset() => _attempts = 0;
}
