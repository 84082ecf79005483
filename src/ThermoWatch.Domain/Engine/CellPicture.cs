using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Which of the two ribbons a phase lies on.</summary>
public enum PhaseTrack
{
    /// <summary>load, preheat, soak, ramp, reflow, cool: one after another.</summary>
    Thermal,

    /// <summary>evacuate, hold, vent: beside them.</summary>
    Vacuum,
}

/// <summary>A phase and the time it took.</summary>
/// <param name="Track">Its ribbon.</param>
/// <param name="Name">Its name, as in the phase list.</param>
/// <param name="Start">Where it begins.</param>
/// <param name="End">Where it ends; null while it goes on.</param>
public sealed record PhaseSpan(PhaseTrack Track, string Name, Timestamp Start, Timestamp? End);

/// <summary>A run as it stands now: all that a viewer needs beside the curves.</summary>
public sealed record RunPicture
{
    /// <summary>Number of the run in its cell, from 1.</summary>
    public required long Number { get; init; }

    /// <summary>Its carrier.</summary>
    public required string Carrier { get; init; }

    /// <summary>What it is for, as far as it is known.</summary>
    public RunKind Kind { get; init; }

    /// <summary>Number of the machine's recipe; null where it is not known.</summary>
    public int? Recipe { get; init; }

    /// <summary>What the machine counted as its load; null where it is not known.</summary>
    public int? Load { get; init; }

    /// <summary>Which rule found its beginning, as in <see cref="RunEvent.Reason"/>.</summary>
    public string StartReason { get; init; } = "";

    /// <summary>Where it begins.</summary>
    public required Timestamp Start { get; init; }

    /// <summary>Where it ends; null while it goes on.</summary>
    public Timestamp? End { get; init; }

    /// <summary>Which rule ended it; null while it goes on.</summary>
    public string? EndReason { get; init; }

    /// <summary>
    /// What must be known with it: <c>warmStart</c>, <c>startNotSeen</c>, <c>intervened</c>, <c>recipeChanged</c>, <c>shallowEvacuation</c>, and
    /// <c>detached/</c> with the id of each channel whose thermocouple came off.
    /// </summary>
    public ImmutableArray<string> Notes { get; init; } = [];

    /// <summary>Name of the spec; null without one.</summary>
    public string? SpecName { get; init; }

    /// <summary>Version of the spec; null without one.</summary>
    public int? SpecVersion { get; init; }

    /// <summary>Phases so far, by track and time.</summary>
    public ImmutableArray<PhaseSpan> Phases { get; init; } = [];

    /// <summary>Figures so far.</summary>
    public ImmutableArray<FigureResult> Figures { get; init; } = [];

    /// <summary>Stretches without readings inside the run, by channel.</summary>
    public ImmutableArray<GapSpan> Gaps { get; init; } = [];

    /// <summary>Verdict once the run has ended; null before, and without product sensors: then nothing is judged.</summary>
    public Verdict? Verdict { get; init; }

    /// <summary>Why the verdict is not a pass, most important first.</summary>
    public ImmutableArray<string> Reasons { get; init; } = [];
}

/// <summary>A stretch in which a channel's curve is not known.</summary>
/// <param name="ChannelId">The channel.</param>
/// <param name="Start">Last reading before it.</param>
/// <param name="End">First reading after it; null while it goes on.</param>
public sealed record GapSpan(string ChannelId, Timestamp Start, Timestamp? End);

/// <summary>An alarm that is not in its normal state, as it stands.</summary>
/// <param name="Id">As in <see cref="AlarmEvent.AlarmId"/>.</param>
/// <param name="Condition">What is wrong, by the names of the alarm list.</param>
/// <param name="ChannelId">Channel concerned; null if none.</param>
/// <param name="State">Its state.</param>
/// <param name="Since">When it was raised.</param>
/// <param name="Value">Value that raised it, later the worst since; null if none.</param>
/// <param name="Limit">The limit concerned; null if none.</param>
public sealed record AlarmPicture(
    string Id, string Condition, string? ChannelId, AlarmState State, Timestamp Since, double? Value, double? Limit)
{
    /// <summary>Where it holds: a channel, a device, a carrier, or a carrier and a figure.</summary>
    public string Place { get; init; } = "";

    /// <summary>How soon somebody must act.</summary>
    public AlarmPriority Priority { get; init; }

    /// <summary>Whether its condition holds now; in a hidden state too.</summary>
    public bool Holds { get; init; }

    /// <summary>Number of the run in which it was raised; null if in none.</summary>
    public long? Run { get; init; }

    /// <summary>Who last did something with it; empty if nobody has since it was raised.</summary>
    public string By { get; init; } = "";

    /// <summary>What that person said, or the reason given.</summary>
    public string Comment { get; init; } = "";

    /// <summary>Until when it is put aside; null unless it is.</summary>
    public Timestamp? Until { get; init; }

    /// <summary>Until when something can still be done; null if that is not known, or nothing can.</summary>
    public Timestamp? Deadline { get; init; }

    /// <summary>Figure whose limit is concerned; null if none is.</summary>
    public string? Figure { get; init; }
}

/// <summary>How a device stands.</summary>
/// <param name="Id">Its id.</param>
/// <param name="State">Its state.</param>
/// <param name="Since">Since when.</param>
/// <param name="Reason">In plain words; empty when up.</param>
public sealed record DevicePicture(string Id, DeviceState State, Timestamp Since, string Reason);

/// <summary>A cell as it stands after the last input.</summary>
/// <param name="Time">Time of the last input.</param>
/// <param name="Runs">For each carrier that has had one, its open run or else its last.</param>
/// <param name="Alarms">Alarms that are told, latest first.</param>
/// <param name="Devices">All devices.</param>
public sealed record CellPicture(
    Timestamp Time,
    ImmutableArray<RunPicture> Runs,
    ImmutableArray<AlarmPicture> Alarms,
    ImmutableArray<DevicePicture> Devices)
{
    /// <summary>Alarms that are put aside, suppressed by design or out of service, latest first: not told, but never out of sight.</summary>
    public ImmutableArray<AlarmPicture> Hidden { get; init; } = [];
}
