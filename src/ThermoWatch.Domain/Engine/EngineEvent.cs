using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Something the engine found out.</summary>
/// <param name="Time">Time of the input that made it certain.</param>
public abstract record EngineEvent(Timestamp Time);

/// <summary>How a run stands.</summary>
public enum RunState
{
    /// <summary>It began.</summary>
    Started,

    /// <summary>It came to its end.</summary>
    Ended,

    /// <summary>It never came to an end and was given up.</summary>
    Abandoned,
}

/// <summary>A run began or ended.</summary>
/// <param name="Time">When it was certain.</param>
/// <param name="Run">Number of the run in its cell, from 1.</param>
/// <param name="Carrier">Its carrier.</param>
/// <param name="State">What happened.</param>
/// <param name="Start">Where it begins, which is known only after it has begun.</param>
/// <param name="End">Where it ends; null while it goes on.</param>
/// <param name="Reason">
/// Which rule found it. Beginning: <c>signal</c>, <c>command</c>, <c>slope</c>, <c>position</c>, <c>motion</c>, <c>vapourDip</c>,
/// <c>vacuum</c>. End: <c>signal</c>, <c>command</c>, <c>cooled</c>, <c>leftInMachine</c>, <c>newRise</c>, <c>unplugged</c>,
/// <c>position</c>, <c>vented</c>, <c>nextStart</c>, <c>abandoned</c>.
/// </param>
/// <param name="Kind">What the run is for, as far as it is known then.</param>
/// <param name="Recipe">Number of the machine's recipe; null where it is not known.</param>
public sealed record RunEvent(
    Timestamp Time, long Run, string Carrier, RunState State, Timestamp Start, Timestamp? End, string Reason,
    RunKind Kind = RunKind.Profile, int? Recipe = null) : EngineEvent(Time);

/// <summary>A run entered a phase.</summary>
/// <param name="Time">When it was certain.</param>
/// <param name="Run">Number of the run.</param>
/// <param name="Phase">The phase, and where it begins.</param>
public sealed record PhaseEvent(Timestamp Time, long Run, PhaseSpan Phase) : EngineEvent(Time);

/// <summary>A figure will not change any more.</summary>
/// <param name="Time">When it was certain.</param>
/// <param name="Run">Number of the run.</param>
/// <param name="Figure">The figure.</param>
public sealed record FigureEvent(Timestamp Time, long Run, FigureResult Figure) : EngineEvent(Time);

/// <summary>Something happened to an alarm: it changed its state, or its condition did while nobody is told.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">Names the condition and where it holds, such as <c>tooHot/tc3</c>; one alarm keeps it for good.</param>
/// <param name="Condition">What is wrong, by the names of the alarm list.</param>
/// <param name="ChannelId">Channel concerned; null if none.</param>
/// <param name="State">State after it.</param>
/// <param name="Predicted">Whether a forecast raised it before the limit was broken.</param>
/// <param name="Value">The value that changed it, in the channel's unit; null if none.</param>
/// <param name="Limit">The limit concerned; null if none.</param>
/// <param name="Run">Number of the run concerned; null if none.</param>
public sealed record AlarmEvent(
    Timestamp Time, string AlarmId, string Condition, string? ChannelId, AlarmState State, bool Predicted,
    double? Value, double? Limit, long? Run) : EngineEvent(Time)
{
    /// <summary>What happened.</summary>
    public AlarmSignal Signal { get; init; }

    /// <summary>How soon somebody must act.</summary>
    public AlarmPriority Priority { get; init; } = AlarmPriority.Medium;

    /// <summary>Who last did something with it; empty if nobody has since it was raised.</summary>
    public string By { get; init; } = "";

    /// <summary>What that person said, or the reason given.</summary>
    public string Comment { get; init; } = "";

    /// <summary>Until when it is put aside; null unless it is.</summary>
    public Timestamp? Until { get; init; }

    /// <summary>Figure whose limit is concerned; null if none is.</summary>
    public string? Figure { get; init; }

    /// <summary>Until when something can still be done; null if that is not known, or nothing can.</summary>
    public Timestamp? Deadline { get; init; }
}

/// <summary>A reading turned out to be none to judge by, as later ones show: recorded and drawn with its value, marked.</summary>
/// <param name="Time">When that was certain.</param>
/// <param name="ChannelId">Channel concerned.</param>
/// <param name="Reading">The reading, now uncertain.</param>
public abstract record MarkEvent(Timestamp Time, string ChannelId, Reading Reading) : EngineEvent(Time);

/// <summary>A reading turned out to be a spike, as the next one shows.</summary>
/// <param name="Time">When the next reading came.</param>
/// <param name="ChannelId">Channel concerned.</param>
/// <param name="Reading">The reading, now uncertain.</param>
public sealed record SpikeEvent(Timestamp Time, string ChannelId, Reading Reading) : MarkEvent(Time, ChannelId, Reading);

/// <summary>A reading was taken after its thermocouple had come off, as the other channels show; it is the first of those, or one up to now.</summary>
/// <param name="Time">When that was certain; from then on readings come marked.</param>
/// <param name="ChannelId">Channel concerned.</param>
/// <param name="Reading">The reading, now uncertain.</param>
public sealed record DetachedEvent(Timestamp Time, string ChannelId, Reading Reading) : MarkEvent(Time, ChannelId, Reading);
