namespace ThermoWatch.Domain.Engine;

/// <summary>What a run was for. Stands in records by name: never rename, only append.</summary>
public enum RunKind
{
    /// <summary>A board with thermocouples on it: judged by its temperatures.</summary>
    Profile,

    /// <summary>A standing board with thermocouples that shows whether the machine still does what it did.</summary>
    Verification,

    /// <summary>Product without thermocouples on it: compared, never judged by a board's temperature.</summary>
    Production,

    /// <summary>The machine ran with nothing in it.</summary>
    Empty,

    /// <summary>A leak test, cleaning, a trial: no product.</summary>
    Maintenance,
}

/// <summary>How a run begins.</summary>
/// <param name="Ticks">Where, UTC ticks.</param>
/// <param name="Reason">Which rule found it.</param>
/// <param name="Time">When it was certain.</param>
/// <param name="Kind">What somebody said it is for; null: by whether product sensors give readings.</param>
/// <param name="Recipe">Recipe number that was said; null: what the machine's signal says.</param>
/// <param name="NotSeen">Whether it had begun before anything showed it: times from its start are not known.</param>
internal readonly record struct RunStart(
    long Ticks, string Reason, Signals.Timestamp Time, RunKind? Kind = null, int? Recipe = null, bool NotSeen = false)
{
    /// <summary>The machine said so.</summary>
    public const string Signal = "signal";
}
