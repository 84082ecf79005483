using System.Collections.Immutable;

namespace ThermoWatch.Domain.Signals.Filters;

/// <summary>Which smoothed value is shown beside a channel's own.</summary>
/// <param name="Kind">What is done; not <see cref="FilterKind.None"/>.</param>
public sealed record FilterDefinition(FilterKind Kind)
{
    /// <summary>Mains frequencies whose pickup <see cref="FilterKind.MainsAverage"/> cancels, Hz.</summary>
    public ImmutableArray<double> MainsHertz { get; init; } = [];

    /// <summary>Number of readings that <see cref="FilterKind.SavitzkyGolay"/> fits, odd.</summary>
    public int Window { get; init; }

    /// <summary>Order of its polynomial, below <see cref="Window"/>.</summary>
    public int Order { get; init; }

    /// <summary>The same filter.</summary>
    public bool Equals(FilterDefinition? other) => other is not null
        && (Kind, Window, Order) == (other.Kind, other.Window, other.Order) && MainsHertz.AsSpan().SequenceEqual(other.MainsHertz.AsSpan());

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Kind, Window, Order);

    /// <summary>Why the filter cannot work on readings with this interval, and what to do; null when it can.</summary>
    /// <param name="periodSeconds">Nominal interval of the readings, s.</param>
    public string? FaultAt(double periodSeconds) => Kind switch
    {
        FilterKind.MedianOfThree => null,
        FilterKind.SavitzkyGolay => Window > Order && Window % 2 == 1 && Order is >= 0 and <= 5 ? null : "the window must be odd and greater than the order, which is 0 to 5.",
        FilterKind.MainsAverage => MainsHertz.IsEmpty
            ? "name the mains frequency: 50, 60, or both."
            : MainsAverage.For(1 / periodSeconds, MainsHertz.AsSpan()) is null
                ? "the readings are too slow, or hold no whole mains periods: it needs more than two in each period. Let the instrument integrate over them instead: 20 ms at 50 Hz, 100 ms for 50 and 60 Hz."
                : null,
        _ => "it does nothing; leave it out.",
    };
}
