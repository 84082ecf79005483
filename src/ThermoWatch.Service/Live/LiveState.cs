using System.Text.Json.Serialization;
using MessagePack;

namespace ThermoWatch.Service.Live;

// How a cell stands: its runs with their figures so far, and the budget of a reading. See LiveContract.cs.

/// <summary>A cell's state beside its curves; sent when it changes, at most four times a second.</summary>
[MessagePackObject]
public sealed record CellState
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>Journal entry that it is true for.</summary>
    [Key("seq")] public required long Seq { get; init; }

    /// <summary>Time of that entry.</summary>
    [Key("t")] public required double T { get; init; }

    /// <summary>For each carrier that has had one, its open run or else its last.</summary>
    [Key("runs")] public required RunLive[] Runs { get; init; }

    /// <summary>Alarms that are told, latest first.</summary>
    [Key("alarms")] public required AlarmLive[] Alarms { get; init; }

    /// <summary>Alarms that are put aside, suppressed by design or out of service, latest first.</summary>
    [Key("hiddenAlarms")] public required AlarmLive[] HiddenAlarms { get; init; }

    /// <summary>All devices.</summary>
    [Key("devices")] public required DeviceLive[] Devices { get; init; }

    /// <summary>Smoothed values of the channels that ask for one.</summary>
    [Key("filtered")] public required FilteredLive[] Filtered { get; init; }
}

/// <summary>A smoothed value, beside the channel's own in the frames. Only for the eye: it is not recorded and not judged.</summary>
[MessagePackObject]
public sealed record FilteredLive
{
    /// <summary>Its channel.</summary>
    [Key("channel")] public required string Channel { get; init; }

    /// <summary>Of which reading it speaks: most filters are some readings late.</summary>
    [Key("t")] public required double T { get; init; }

    /// <summary>The value in the channel's unit.</summary>
    [Key("value")] public required double Value { get; init; }

    /// <summary>What was done: medianOfThree or savitzkyGolay.</summary>
    [Key("filter")] public required string Filter { get; init; }
}

/// <summary>Where the uncertainty of a channel's newest reading comes from, line by line (GUM).</summary>
[MessagePackObject]
public sealed record BudgetLive
{
    /// <summary>Its channel.</summary>
    [Key("channel")] public required string Channel { get; init; }

    /// <summary>When the reading was measured; null without a value.</summary>
    [Key("t")] public double? T { get; init; }

    /// <summary>The reading in the channel's unit; null without a value.</summary>
    [Key("value")] public double? Value { get; init; }

    /// <summary>Expanded uncertainty, k = 2, in the channel's unit; null if it is not known.</summary>
    [Key("U"), JsonPropertyName("U")] public double? U { get; init; }

    /// <summary>The contributions that are known.</summary>
    [Key("lines")] public required BudgetLine[] Lines { get; init; }

    /// <summary>What contributes and is not known.</summary>
    [Key("notIncluded")] public required string[] NotIncluded { get; init; }

    /// <summary>Why no U can be stated; null when one is.</summary>
    [Key("noUncertainty")] public string? NoUncertainty { get; init; }
}

/// <summary>One line of a budget.</summary>
[MessagePackObject]
public sealed record BudgetLine
{
    /// <summary>What contributes.</summary>
    [Key("name")] public required string Name { get; init; }

    /// <summary>As its source states it.</summary>
    [Key("stated")] public required double Stated { get; init; }

    /// <summary>standard, halfWidth, resolution or expandedTwice: what it is divided by.</summary>
    [Key("form")] public required string Form { get; init; }

    /// <summary>Change of the result for a change of this quantity.</summary>
    [Key("sensitivity")] public required double Sensitivity { get; init; }

    /// <summary>Standard uncertainty that it brings into the result, in the channel's unit.</summary>
    [Key("standard")] public required double Standard { get; init; }

    /// <summary>Standard, certificate or person that states it.</summary>
    [Key("source")] public required string Source { get; init; }
}

/// <summary>A run as it stands.</summary>
[MessagePackObject]
public sealed record RunLive
{
    /// <summary>Number of the run in the cell.</summary>
    [Key("number")] public required long Number { get; init; }

    /// <summary>Its carrier.</summary>
    [Key("carrier")] public required string Carrier { get; init; }

    /// <summary>profile, verification, production, empty or maintenance.</summary>
    [Key("kind")] public required string Kind { get; init; }

    /// <summary>Number of the machine's recipe; null where it is not known.</summary>
    [Key("recipe")] public int? Recipe { get; init; }

    /// <summary>What the machine counts as its load; null where it is not known.</summary>
    [Key("load")] public int? Load { get; init; }

    /// <summary>Which rule found its beginning: signal, command, slope, position, motion, vapourDip or vacuum.</summary>
    [Key("startReason")] public required string StartReason { get; init; }

    /// <summary>Where it begins.</summary>
    [Key("start")] public required double Start { get; init; }

    /// <summary>Where it ends; null while it goes on.</summary>
    [Key("end")] public double? End { get; init; }

    /// <summary>Which rule ended it; null while it goes on.</summary>
    [Key("endReason")] public string? EndReason { get; init; }

    /// <summary>Notes.</summary>
    [Key("notes")] public required string[] Notes { get; init; }

    /// <summary>Name of its spec; null without one.</summary>
    [Key("specName")] public string? SpecName { get; init; }

    /// <summary>Version of its spec; null without one.</summary>
    [Key("specVersion")] public int? SpecVersion { get; init; }

    /// <summary>Phases so far.</summary>
    [Key("phases")] public required PhaseLive[] Phases { get; init; }

    /// <summary>Figures so far.</summary>
    [Key("figures")] public required FigureLive[] Figures { get; init; }

    /// <summary>Stretches without readings.</summary>
    [Key("gaps")] public required GapLive[] Gaps { get; init; }

    /// <summary>pass, fail or undetermined once it has ended; null before, and without product sensors.</summary>
    [Key("verdict")] public string? Verdict { get; init; }

    /// <summary>Why it is not a pass.</summary>
    [Key("reasons")] public required string[] Reasons { get; init; }
}

/// <summary>A phase of a run.</summary>
[MessagePackObject]
public sealed record PhaseLive
{
    /// <summary>Its name.</summary>
    [Key("phase")] public required string Phase { get; init; }

    /// <summary>thermal or vacuum.</summary>
    [Key("track")] public required string Track { get; init; }

    /// <summary>Where it begins.</summary>
    [Key("start")] public required double Start { get; init; }

    /// <summary>Where it ends; null while it goes on.</summary>
    [Key("end")] public double? End { get; init; }
}

/// <summary>A gap of a channel.</summary>
[MessagePackObject]
public sealed record GapLive
{
    /// <summary>The channel.</summary>
    [Key("channel")] public required string Channel { get; init; }

    /// <summary>Last reading before.</summary>
    [Key("start")] public required double Start { get; init; }

    /// <summary>First reading after; null while it goes on.</summary>
    [Key("end")] public double? End { get; init; }

    /// <summary>detached: readings come, but the thermocouple no longer shows what it measured; null: there are none to judge.</summary>
    [Key("reason")] public string? Reason { get; init; }
}

/// <summary>A figure so far.</summary>
[MessagePackObject]
public sealed record FigureLive
{
    /// <summary>Its name.</summary>
    [Key("figure")] public required string Figure { get; init; }

    /// <summary>Its channel; null for carrier and chamber figures.</summary>
    [Key("channel")] public string? Channel { get; init; }

    /// <summary>Value; null unless known.</summary>
    [Key("value")] public double? Value { get; init; }

    /// <summary>Lower bound; null if open or known.</summary>
    [Key("low")] public double? Low { get; init; }

    /// <summary>Upper bound; null if open or known.</summary>
    [Key("high")] public double? High { get; init; }

    /// <summary>Unit.</summary>
    [Key("unit")] public required string Unit { get; init; }

    /// <summary>Expanded uncertainty of the value, k = 2; null if not known.</summary>
    [Key("U"), JsonPropertyName("U")] public double? U { get; init; }

    /// <summary>Lower limit; null if none.</summary>
    [Key("lower")] public double? Lower { get; init; }

    /// <summary>Upper limit; null if none.</summary>
    [Key("upper")] public double? Upper { get; init; }

    /// <summary>pass, fail, undetermined; null while it can change or without limits.</summary>
    [Key("verdict")] public string? Verdict { get; init; }

    /// <summary>Why there is no value.</summary>
    [Key("reason")] public string? Reason { get; init; }

    /// <summary>Channel that decides; null for channel figures.</summary>
    [Key("decidedBy")] public string? DecidedBy { get; init; }

    /// <summary>fail or warn; null without a limit.</summary>
    [Key("severity")] public string? Severity { get; init; }

    /// <summary>What must be known with it, such as marginal or noUncertainty.</summary>
    [Key("notes")] public required string[] Notes { get; init; }

    /// <summary>Distance to the nearer limit in the figure's unit, negative outside; null without value or limit.</summary>
    [Key("margin")] public double? Margin { get; init; }

    /// <summary>Median of this figure over the last good runs; null when there are none yet.</summary>
    [Key("usual")] public double? Usual { get; init; }

    /// <summary>Whether it can no longer change.</summary>
    [Key("final")] public required bool Final { get; init; }
}
