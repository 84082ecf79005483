namespace ThermoWatch.Domain.Signals.Filters;

/// <summary>Takes single spikes out of a drawn curve and leaves edges and slopes as they are.</summary>
public static class MedianOfThree
{
    /// <summary>The middle reading's filtered value: known one reading late, as it needs the next one.</summary>
    /// <remarks>A neighbour without a value leaves the reading untouched: nothing is invented across a hole.</remarks>
    public static Filtered Of(Reading previous, Reading current, Reading next)
    {
        bool isComplete = previous.Quality.HasValue && current.Quality.HasValue && next.Quality.HasValue;
        if (!isComplete) return Filtered.Untouched(current);
        double low = Math.Min(previous.Value, next.Value);
        double high = Math.Max(previous.Value, next.Value);
        return new Filtered(current, Math.Clamp(current.Value, low, high), FilterKind.MedianOfThree);
    }
}
