using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>Whether a verification run is due.</summary>
/// <param name="Due">Whether it is.</param>
/// <param name="Runs">Runs since the last one, where they are what makes it due; else null.</param>
/// <param name="Limit">How many there may be; null with <paramref name="Runs"/>.</param>
public readonly record struct VerificationDue(bool Due, int? Runs = null, int? Limit = null)
{
    /// <summary>Age of the last one and the longest that it may have, where that is what makes it due; else null.</summary>
    public (TimeSpan Age, TimeSpan Longest)? Old { get; init; }

    /// <summary>Newest work after the last one, where that is what makes it due; else null.</summary>
    public ServiceKind? Work { get; init; }
}

/// <summary>When a verification run is due. What is not set does not count.</summary>
public sealed record VerificationRule
{
    /// <summary>Most runs since the last one.</summary>
    public int? Runs { get; init; }

    /// <summary>Longest time since the last one.</summary>
    public TimeSpan? Age { get; init; }

    /// <summary>Work on the machine after which one is due.</summary>
    public ImmutableArray<ServiceKind> After { get; init; } = [ServiceKind.Fluid, ServiceKind.Seal, ServiceKind.Gauge, ServiceKind.Sensors];

    /// <summary>Looks whether one is due.</summary>
    /// <param name="now">Time of the cell.</param>
    /// <param name="last">End of the last passed verification run; the beginning of the record where there has been none.</param>
    /// <param name="runsSince">Runs that have ended since.</param>
    /// <param name="log">The machine's service log.</param>
    public VerificationDue Look(Timestamp now, Timestamp last, int runsSince, IEnumerable<ServiceEntry> log)
    {
        ArgumentNullException.ThrowIfNull(log);
        if (Runs is { } most && runsSince >= most)
        {
            return new VerificationDue(true, runsSince, most);
        }

        if (Age is { } longest && now - last >= longest)
        {
            return new VerificationDue(true) { Old = (now - last, longest) };
        }

        ServiceKind? work = log.Where(entry => entry.Time > last && entry.Time <= now && After.Contains(entry.Kind)).MaxBy(entry => entry.Time)?.Kind;
        return new VerificationDue(work is not null) { Work = work };
    }
}
