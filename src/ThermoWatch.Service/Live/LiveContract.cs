using System.Text.Json.Serialization;
using MessagePack;

namespace ThermoWatch.Service.Live;

// The shapes that leave the service on /hubs/live. MessagePack and JSON carry the same keys (a contract test keeps it so).
// Times are milliseconds since 1970-01-01T00:00:00Z as floating point; temperatures °C, pressures mbar absolute.

/// <summary>Readings of one scan. Live, the server calls <c>scan(cell, seq, t, data)</c> with these four as arguments; a refill holds them as objects.</summary>
[MessagePackObject]
public sealed record ScanFrame
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>Number of the journal entry behind it: rises, with holes.</summary>
    [Key("seq")] public required long Seq { get; init; }

    /// <summary>When it was measured.</summary>
    [Key("t")] public required double T { get; init; }

    /// <summary>
    /// A little-endian float32 for each channel in the layout's order (NaN without a value), then 2 quality bits each,
    /// first channel in the low bits: 0 good, 1 uncertain, 2 bad, 3 not in this scan.
    /// </summary>
    [Key("data")] public required byte[] Data { get; init; }
}

/// <summary>
/// A reading has turned out to be worth less than its frame said: a spike shows only beside its follower.
/// Its value stays; draw it with its mark.
/// </summary>
[MessagePackObject]
public sealed record ReadingMark
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>Id of its channel.</summary>
    [Key("channel")] public required string Channel { get; init; }

    /// <summary>When it was measured: the <c>t</c> of its frame.</summary>
    [Key("t")] public required double T { get; init; }

    /// <summary>What it is worth now, as in files: uncertain:spike.</summary>
    [Key("quality")] public required string Quality { get; init; }
}

/// <summary>Frames that a viewer has missed, oldest first.</summary>
[MessagePackObject]
public sealed record Refill
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>At most a few thousand frames.</summary>
    [Key("frames")] public required ScanFrame[] Frames { get; init; }

    /// <summary>Marks that were set while they came; some on frames just before them.</summary>
    [Key("marks")] public required ReadingMark[] Marks { get; init; }

    /// <summary>Whether to ask again from the last of them.</summary>
    [Key("more")] public required bool More { get; init; }
}

/// <summary>A cell in the list of cells.</summary>
[MessagePackObject]
public sealed record CellName
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>As people call it.</summary>
    [Key("name")] public required string Name { get; init; }
}

/// <summary>What a viewer must know once, before it can read frames.</summary>
[MessagePackObject]
public sealed record CellLayout
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>As people call it.</summary>
    [Key("name")] public required string Name { get; init; }

    /// <summary>Whether everything shown is simulated.</summary>
    [Key("demo")] public required bool Demo { get; init; }

    /// <summary>Changes when the service starts anew: a viewer then forgets what it had.</summary>
    [Key("session")] public required string Session { get; init; }

    /// <summary>Channels in the order of the frames.</summary>
    [Key("channels")] public required ChannelLayout[] Channels { get; init; }

    /// <summary>Devices.</summary>
    [Key("devices")] public required DeviceLayout[] Devices { get; init; }

    /// <summary>Seconds between frames, nominal.</summary>
    [Key("interval_s"), JsonPropertyName("interval_s")] public required double IntervalSeconds { get; init; }

    /// <summary>Ask <c>since</c> from here to draw the run that is open, or the last one.</summary>
    [Key("fromSeq")] public required long FromSeq { get; init; }

    /// <summary>Usual length of a run in s: the median of the last good ones; null when there are none yet.</summary>
    [Key("usualCycle_s"), JsonPropertyName("usualCycle_s")] public double? UsualCycleSeconds { get; init; }

    /// <summary>Usual phases of a run; empty when there are none yet.</summary>
    [Key("usualPhases")] public required UsualPhase[] UsualPhases { get; init; }

    /// <summary>The spec of the next run; null without one.</summary>
    [Key("spec")] public SpecLayout? Spec { get; init; }

    /// <summary>Clock of the service when it answered, so that a viewer can tell how old a reading is.</summary>
    [Key("now")] public required double Now { get; init; }
}

/// <summary>A channel as shown.</summary>
[MessagePackObject]
public sealed record ChannelLayout
{
    /// <summary>Its id.</summary>
    [Key("id")] public required string Id { get; init; }

    /// <summary>As people call it.</summary>
    [Key("name")] public required string Name { get; init; }

    /// <summary>As in the list of roles: product, vapour, transport, pressure, coldJunction ...</summary>
    [Key("role")] public required string Role { get; init; }

    /// <summary>joint, body, board, air; null unless product.</summary>
    [Key("place")] public string? Place { get; init; }

    /// <summary>Its carrier; null if shared.</summary>
    [Key("carrier")] public string? Carrier { get; init; }

    /// <summary>degC, mbar, mV or 1.</summary>
    [Key("unit")] public required string Unit { get; init; }

    /// <summary>Device that measures it.</summary>
    [Key("device")] public required string Device { get; init; }

    /// <summary>Liquidus of its alloy in °C; null unless product with a spec.</summary>
    [Key("liquidus")] public double? Liquidus { get; init; }
}

/// <summary>A device as shown.</summary>
[MessagePackObject]
public sealed record DeviceLayout
{
    /// <summary>Its id.</summary>
    [Key("id")] public required string Id { get; init; }

    /// <summary>As people call it.</summary>
    [Key("name")] public required string Name { get; init; }

    /// <summary>Seconds from poll to poll.</summary>
    [Key("period_s"), JsonPropertyName("period_s")] public required double PeriodSeconds { get; init; }
}

/// <summary>A phase and when it usually comes.</summary>
[MessagePackObject]
public sealed record UsualPhase
{
    /// <summary>Its name.</summary>
    [Key("phase")] public required string Phase { get; init; }

    /// <summary>thermal or vacuum.</summary>
    [Key("track")] public required string Track { get; init; }

    /// <summary>Seconds from the run's start to its own, median.</summary>
    [Key("start_s"), JsonPropertyName("start_s")] public required double StartSeconds { get; init; }

    /// <summary>Its length in s, median.</summary>
    [Key("duration_s"), JsonPropertyName("duration_s")] public required double DurationSeconds { get; init; }
}

/// <summary>What of a spec is drawn.</summary>
[MessagePackObject]
public sealed record SpecLayout
{
    /// <summary>Name of the product.</summary>
    [Key("name")] public required string Name { get; init; }

    /// <summary>Version.</summary>
    [Key("version")] public required int Version { get; init; }

    /// <summary>Alloy.</summary>
    [Key("alloy")] public required string Alloy { get; init; }

    /// <summary>°C.</summary>
    [Key("solidus")] public required double Solidus { get; init; }

    /// <summary>°C.</summary>
    [Key("liquidus")] public required double Liquidus { get; init; }

    /// <summary>°C; null without a soak band.</summary>
    [Key("soakFrom")] public double? SoakFrom { get; init; }

    /// <summary>°C; null without a soak band.</summary>
    [Key("soakTo")] public double? SoakTo { get; init; }

    /// <summary>mbar; null without vacuum.</summary>
    [Key("vacuumTarget")] public double? VacuumTarget { get; init; }

    /// <summary>Limits as in the spec.</summary>
    [Key("limits")] public required LimitLayout[] Limits { get; init; }
}

/// <summary>A limit as shown.</summary>
[MessagePackObject]
public sealed record LimitLayout
{
    /// <summary>Figure.</summary>
    [Key("figure")] public required string Figure { get; init; }

    /// <summary>Lower limit; null if none.</summary>
    [Key("lower")] public double? Lower { get; init; }

    /// <summary>Upper limit; null if none.</summary>
    [Key("upper")] public double? Upper { get; init; }

    /// <summary>Level in °C; null: liquidus.</summary>
    [Key("level")] public double? Level { get; init; }

    /// <summary>fail or warn.</summary>
    [Key("severity")] public required string Severity { get; init; }

    /// <summary>Paper that asks for it; null if none.</summary>
    [Key("document")] public string? Document { get; init; }
}

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

/// <summary>An alarm that is not normal, with what it says.</summary>
[MessagePackObject]
public sealed record AlarmLive
{
    /// <summary>Names the condition and where it holds.</summary>
    [Key("id")] public required string Id { get; init; }

    /// <summary>Condition, by the names of the alarm list.</summary>
    [Key("condition")] public required string Condition { get; init; }

    /// <summary>Channel concerned; null if none.</summary>
    [Key("channel")] public string? Channel { get; init; }

    /// <summary>As in the alarm table: unacknowledged, acknowledged, returnedUnacknowledged, latchedUnacknowledged, latchedAcknowledged; of hidden ones shelved, suppressedByDesign, outOfService.</summary>
    [Key("state")] public required string State { get; init; }

    /// <summary>When it was raised.</summary>
    [Key("since")] public required double Since { get; init; }

    /// <summary>Value; null if none.</summary>
    [Key("value")] public double? Value { get; init; }

    /// <summary>Limit; null if none.</summary>
    [Key("limit")] public double? Limit { get; init; }

    /// <summary>high, medium or low.</summary>
    [Key("priority")] public required string Priority { get; init; }

    /// <summary>Whether its condition holds now.</summary>
    [Key("holds")] public required bool Holds { get; init; }

    /// <summary>Run in which it was raised; null if in none.</summary>
    [Key("run")] public long? Run { get; init; }

    /// <summary>Figure whose limit is concerned; null if none.</summary>
    [Key("figure")] public string? Figure { get; init; }

    /// <summary>Key of its texts.</summary>
    [Key("text")] public required string Text { get; init; }

    /// <summary>Where, as people call it.</summary>
    [Key("where")] public required string Where { get; init; }

    /// <summary>What is wrong, with value and limit, in English.</summary>
    [Key("what")] public required string What { get; init; }

    /// <summary>What happens if nobody acts, in English.</summary>
    [Key("consequence")] public required string Consequence { get; init; }

    /// <summary>What to do, in English.</summary>
    [Key("action")] public required string Action { get; init; }

    /// <summary>How long there is, in English.</summary>
    [Key("howLong")] public required string HowLong { get; init; }

    /// <summary>The same in s, an action's lead time taken off; null if it is not known.</summary>
    [Key("timeToAct_s"), JsonPropertyName("timeToAct_s")] public double? SecondsToAct { get; init; }

    /// <summary>The same sentences in German.</summary>
    [Key("de"), JsonPropertyName("de")] public required AlarmWords German { get; init; }

    /// <summary>Who last did something with it; empty if nobody has since it was raised.</summary>
    [Key("by")] public required string By { get; init; }

    /// <summary>What that person said, or the reason given.</summary>
    [Key("comment")] public required string Comment { get; init; }

    /// <summary>Until when it is put aside; null unless it is.</summary>
    [Key("until")] public double? Until { get; init; }
}

/// <summary>What an alarm says, in one language.</summary>
[MessagePackObject]
public sealed record AlarmWords
{
    /// <summary>Where, as people call it.</summary>
    [Key("where")] public required string Where { get; init; }

    /// <summary>What is wrong, with value and limit.</summary>
    [Key("what")] public required string What { get; init; }

    /// <summary>What happens if nobody acts.</summary>
    [Key("consequence")] public required string Consequence { get; init; }

    /// <summary>What to do.</summary>
    [Key("action")] public required string Action { get; init; }

    /// <summary>How long there is.</summary>
    [Key("howLong")] public required string HowLong { get; init; }
}

/// <summary>How a device stands.</summary>
[MessagePackObject]
public sealed record DeviceLive
{
    /// <summary>Its id.</summary>
    [Key("id")] public required string Id { get; init; }

    /// <summary>unknown, connecting, up, suspect or down.</summary>
    [Key("state")] public required string State { get; init; }

    /// <summary>Since when.</summary>
    [Key("since")] public required double Since { get; init; }

    /// <summary>In plain words; empty when up.</summary>
    [Key("reason")] public required string Reason { get; init; }
}
