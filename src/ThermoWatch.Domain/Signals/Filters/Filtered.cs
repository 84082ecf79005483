namespace ThermoWatch.Domain.Signals.Filters;

/// <summary>What was done to a value.</summary>
public enum FilterKind
{
    /// <summary>Nothing: the filter had too little to work with, and the raw value stands.</summary>
    None = 0,

    /// <summary>The middle one of three neighbours.</summary>
    MedianOfThree = 1,

    /// <summary>The mean over whole periods of the mains.</summary>
    MainsAverage = 2,

    /// <summary>A polynomial fitted to the neighbours (Savitzky and Golay).</summary>
    SavitzkyGolay = 3,
}

/// <summary>A filtered value, which says so, beside the reading that it was made from. Never judged in the reading's place.</summary>
/// <param name="Raw">The reading as it was converted; the record keeps this one.</param>
/// <param name="Value">The filtered value in the same unit; NaN exactly when the raw reading has no value.</param>
/// <param name="Kind">What was done.</param>
public readonly record struct Filtered(Reading Raw, double Value, FilterKind Kind)
{
    /// <summary>A reading that was left as it is.</summary>
    public static Filtered Untouched(Reading raw) => new(raw, raw.Value, FilterKind.None);
}
