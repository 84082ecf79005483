using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Chain;

/// <summary>Somebody did something that must be known later.</summary>
/// <param name="Time">When.</param>
/// <param name="Who">The person, or the name that the service itself goes by.</param>
/// <param name="Station">Where: an address or the host's name.</param>
/// <param name="Action">What was done: one of <see cref="AuditActions"/>.</param>
/// <param name="Subject">To what.</param>
/// <param name="Before">What stood there before; null if nothing.</param>
/// <param name="After">What stands there now; null if nothing.</param>
/// <param name="Reason">Why, in the person's words; null if none was asked for.</param>
public sealed record AuditEntry(Timestamp Time, string Who, string Station, string Action, string Subject, string? Before, string? After, string? Reason);

/// <summary>A version of a spec. It never changes again.</summary>
/// <param name="Name">Name of the spec.</param>
/// <param name="Version">Its version.</param>
/// <param name="Json">The spec as it was given.</param>
/// <param name="Added">When.</param>
/// <param name="By">By whom.</param>
public sealed record SpecVersion(string Name, int Version, string Json, Timestamp Added, string By);

/// <summary>A configuration that was in force from a moment on.</summary>
/// <param name="Number">Its number, from 1.</param>
/// <param name="Json">The whole file.</param>
/// <param name="Time">Since when.</param>
/// <param name="By">By whom.</param>
public sealed record ConfigurationVersion(long Number, string Json, Timestamp Time, string By);

/// <summary>A cell's entries are sealed up to here.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="LastSequence">Number of the last sealed entry.</param>
/// <param name="Hash">Hash of its block, in hexadecimal: it stands for every byte before it.</param>
public sealed record SealedUpTo(int Cell, long LastSequence, string Hash);

/// <summary>Sealed entries that were taken out of the record, by rule or by somebody's decision.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="FirstSequence">First entry.</param>
/// <param name="LastSequence">Last entry.</param>
/// <param name="Time">When it was decided.</param>
/// <param name="Who">By whom.</param>
/// <param name="Why">Which rule, or the person's reason.</param>
/// <param name="Run">The run that went with them; null: none, time between runs.</param>
public sealed record RemovedEntriesNote(int Cell, long FirstSequence, long LastSequence, Timestamp Time, string Who, string Why, long? Run);

/// <summary>An alarm's step, as the chain tells it.</summary>
internal sealed record AlarmBody(
    int Cell, Timestamp Time, string AlarmId, string Condition, string? ChannelId, AlarmState State, bool Predicted, double? Value, double? Limit, long? Run)
{
    public static AlarmBody Of(int cell, AlarmEvent alarm) => new(cell, alarm.Time, alarm.AlarmId, alarm.Condition, alarm.ChannelId, alarm.State, alarm.Predicted,
        alarm.Value is { } value && double.IsFinite(value) ? value : null, alarm.Limit is { } limit && double.IsFinite(limit) ? limit : null, alarm.Run)
    {
        Signal = alarm.Signal,
        Priority = alarm.Priority,
        By = alarm.By,
        Comment = alarm.Comment,
        Until = alarm.Until,
        Deadline = alarm.Deadline,
        Figure = alarm.Figure,
    };

    // Lines of earlier versions have none of these.
    public AlarmSignal? Signal { get; init; }

    public AlarmPriority Priority { get; init; } = AlarmPriority.Medium;

    public string By { get; init; } = "";

    public string Comment { get; init; } = "";

    public Timestamp? Until { get; init; }

    public Timestamp? Deadline { get; init; }

    public string? Figure { get; init; }

    /// <summary>What happened to it; a line of before that was told says only what state it came to.</summary>
    public AlarmSignal SignalOrThatOfItsState => Signal ?? State switch
    {
        AlarmState.Acknowledged => AlarmSignal.Acknowledge,
        AlarmState.Unacknowledged => AlarmSignal.ConditionActive,
        _ => AlarmSignal.ConditionClears,
    };

    public AlarmEvent ToEvent() => new(Time, AlarmId, Condition, ChannelId, State, Predicted, Value, Limit, Run)
    {
        Signal = SignalOrThatOfItsState,
        Priority = Priority,
        By = By,
        Comment = Comment,
        Until = Until,
        Deadline = Deadline,
        Figure = Figure,
    };
}

/// <summary>New words in a run's record: what it says then, and what that changed.</summary>
internal sealed record RecordBody(int Cell, long Run, Timestamp Time, string By, string? Reason, RunRecord Record, ImmutableArray<FieldChange> Changes);

/// <summary>What somebody decided of a run.</summary>
internal sealed record DecisionBody(int Cell, long Run, Decision Decision);

/// <summary>A run released as a reference, or withdrawn.</summary>
internal sealed record ReferenceBody(int Cell, long Run, Timestamp Time, string By, string Reason);

/// <summary>Work on a cell's machine.</summary>
internal sealed record ServiceBody(int Cell, ServiceEntry Entry);

/// <summary>The node's key from a moment on.</summary>
internal sealed record KeyBody(string PublicKey);
