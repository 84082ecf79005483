namespace ThermoWatch.Domain.Figures;

/// <summary>Why a figure has no value, by the names that judgements carry.</summary>
internal static class FigureReasons
{
    /// <summary>The event that the figure measures did not happen.</summary>
    public const string NeverReached = "neverReached";

    /// <summary>It could lie in a stretch without readings.</summary>
    public const string Gap = "gap";

    /// <summary>It could lie before the record's beginning or after its end.</summary>
    public const string Truncated = "truncated";

    /// <summary>No channel gives what it needs.</summary>
    public const string NoChannel = "noChannel";

    /// <summary>The channel gave readings, but none to judge by.</summary>
    public const string BadQuality = "badQuality";

    /// <summary>The definition does not apply to this spec (a soak end that is not below the liquidus, or is not given).</summary>
    public const string NotDefined = "notDefined";

    /// <summary>Value and limit are closer than the uncertainty allows to tell.</summary>
    public const string WithinUncertainty = "withinUncertainty";
}

/// <summary>What the record says about one figure: a value, bounds, or why neither.</summary>
/// <param name="Low">Least it can be; negative infinity if open, NaN if nothing is known.</param>
/// <param name="High">Most it can be; positive infinity if open, NaN if nothing is known.</param>
/// <param name="Reason">Why it is not a value; null when it is one.</param>
/// <param name="Note">What must be known with it; null if nothing.</param>
/// <param name="DecidedBy">Index of the deciding channel, -1 if none.</param>
internal readonly record struct Outcome(double Low, double High, string? Reason, string? Note = null, int DecidedBy = -1)
{
    public const string Marginal = "marginal";

    public static Outcome Known(double value, string? note = null) => new(value, value, null, note);

    /// <summary>Bounds; equal bounds are a value.</summary>
    public static Outcome Between(double low, double high, string reason, string? note = null) =>
        low == high ? Known(low, note) : new(low, high, reason, note);

    /// <summary>It is at least this much; what follows is not known.</summary>
    public static Outcome AtLeast(double low, string reason) => new(low, double.PositiveInfinity, reason);

    public static Outcome Missing(string reason) => new(double.NaN, double.NaN, reason);

    /// <summary>A sum over an event that did not happen: it is zero, and says why.</summary>
    public static Outcome NothingToSum => new(0, 0, FigureReasons.NeverReached, FigureReasons.NeverReached);

    public bool HasValue => Low == High;

    public bool HasBounds => !double.IsNaN(Low) && !double.IsNaN(High);

    /// <summary>The event did not happen, and there is no number instead.</summary>
    public bool EventMissing => Reason == FigureReasons.NeverReached && !HasBounds;

    /// <summary>What can be said of a run that still goes on: nothing is missing yet, and a sum is what it is so far.</summary>
    public Outcome SoFar() => Reason switch
    {
        FigureReasons.Truncated when HasBounds && double.IsFinite(Low) => new(Low, Low, null, Note, DecidedBy),
        FigureReasons.NeverReached when HasBounds => new(Low, High, null, null, DecidedBy),
        FigureReasons.Truncated or FigureReasons.NeverReached => new(double.NaN, double.NaN, null),
        _ => this,
    };
}
