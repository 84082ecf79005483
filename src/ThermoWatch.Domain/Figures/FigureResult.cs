using System.Collections.Immutable;

namespace ThermoWatch.Domain.Figures;

/// <summary>What the numbers say against the limits.</summary>
public enum Verdict
{
    /// <summary>Every limit is met.</summary>
    Pass,

    /// <summary>A limit is broken.</summary>
    Fail,

    /// <summary>The record cannot tell.</summary>
    Undetermined,
}

/// <summary>How much a limit weighs.</summary>
public enum Severity
{
    /// <summary>A broken limit fails the run.</summary>
    Fail,

    /// <summary>A broken limit is said, and fails nothing.</summary>
    Warn,
}

/// <summary>One figure of a run, and the limit it is held against if there is one.</summary>
public sealed record FigureResult
{
    /// <summary>Name of the figure, such as <c>peakTemperature</c>.</summary>
    public required string Figure { get; init; }

    /// <summary>Channel it belongs to; null for figures of the carrier or the chamber.</summary>
    public string? ChannelId { get; init; }

    /// <summary>The value; null unless known.</summary>
    public double? Value { get; init; }

    /// <summary>Least it can be, where only bounds are known; null if that side is open.</summary>
    public double? Low { get; init; }

    /// <summary>Most it can be, where only bounds are known; null if that side is open.</summary>
    public double? High { get; init; }

    /// <summary>Unit: <c>degC</c>, <c>K</c>, <c>s</c>, <c>K/s</c>, <c>K·s</c>, <c>mbar</c>, <c>mbar/s</c>, <c>1/s</c>, <c>1</c>.</summary>
    public required string Unit { get; init; }

    /// <summary>Lower limit; null if none.</summary>
    public double? Lower { get; init; }

    /// <summary>Upper limit; null if none.</summary>
    public double? Upper { get; init; }

    /// <summary>Against its limits; null without limits, and while it can still change.</summary>
    public Verdict? Verdict { get; init; }

    /// <summary>Why there is no value: <c>neverReached</c>, <c>gap</c>, <c>truncated</c>, <c>noChannel</c>, <c>badQuality</c>; else null.</summary>
    public string? Reason { get; init; }

    /// <summary>What must be known with it, such as <c>marginal</c>.</summary>
    public ImmutableArray<string> Notes { get; init; } = [];

    /// <summary>Distance to the nearer limit in the figure's unit, negative outside; null without value or limit.</summary>
    public double? Margin { get; init; }

    /// <summary>Expanded uncertainty (k = 2) in the figure's unit; null if not known.</summary>
    public double? U { get; init; }

    /// <summary>Weight of the limit; null without one.</summary>
    public Severity? Severity { get; init; }

    /// <summary>Channel that decides a figure of the carrier; else null.</summary>
    public string? DecidedBy { get; init; }

    /// <summary>Whether it can no longer change.</summary>
    public bool Final { get; init; }
}
