using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>Everything that can move the engine. All of it is journalled, in one order, and replayed in it.</summary>
/// <param name="Time">When it happened, by the same clock as the readings.</param>
public abstract record EngineInput(Timestamp Time);

/// <summary>A device was read.</summary>
/// <param name="Scan">What it said.</param>
public sealed record ScanInput(RawScan Scan) : EngineInput(Scan.Time);

/// <summary>A second went by in which nothing came.</summary>
/// <param name="Time">End of that second.</param>
public sealed record TickInput(Timestamp Time) : EngineInput(Time);

/// <summary>How a device's connection stands.</summary>
public enum DeviceState
{
    /// <summary>Not tried yet.</summary>
    Unknown = 0,

    /// <summary>Being connected for the first time, or again.</summary>
    Connecting = 1,

    /// <summary>Answers.</summary>
    Up = 2,

    /// <summary>Connected, but the last answers were missing or wrong.</summary>
    Suspect = 3,

    /// <summary>Cannot be reached.</summary>
    Down = 4,
}

/// <summary>A device's connection changed its state.</summary>
/// <param name="Time">When.</param>
/// <param name="DeviceIndex">Place of the device in <see cref="CellDefinition.Devices"/>.</param>
/// <param name="State">The new state.</param>
/// <param name="Reason">In plain words, for people; empty when up.</param>
public sealed record DeviceStateInput(Timestamp Time, int DeviceIndex, DeviceState State, string Reason) : EngineInput(Time);

/// <summary>Somebody set the computer's clock. Times in the record go on unbroken by the clock as it was.</summary>
/// <param name="Time">When it was noticed, by the same clock as the readings.</param>
/// <param name="Step">By how much it was set: positive is forward.</param>
public sealed record ClockStepInput(Timestamp Time, TimeSpan Step) : EngineInput(Time);

/// <summary>For how long a spec speaks for what is soldered. It judges runs until another is assigned in every case.</summary>
public enum SpecTerm
{
    /// <summary>For every run until another is assigned: the cell solders one product.</summary>
    Standing = 0,

    /// <summary>For one run, the open one or else the next: after it the product has to be told anew.</summary>
    OneRun = 1,

    /// <summary>For none yet: the product has still to be told, so the machine's recipe is not held against this spec.</summary>
    UntilTold = 2,
}

/// <summary>A spec is to be used for the carrier's current run, if one is open, and its next ones.</summary>
/// <param name="Time">When.</param>
/// <param name="Carrier">Which carrier.</param>
/// <param name="Spec">The spec, whole: a record must be judged by what stood then. Null: nobody knows one.</param>
public sealed record SpecInput(Timestamp Time, string Carrier, Spec? Spec) : EngineInput(Time)
{
    /// <summary>For how long it speaks for what is soldered.</summary>
    public SpecTerm Term { get; init; }
}

/// <summary>Somebody did something with an alarm. What its state does not allow changes nothing.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">The alarm's id, as in <see cref="AlarmEvent.AlarmId"/>.</param>
/// <param name="By">Name of the person.</param>
public abstract record AlarmInput(Timestamp Time, string AlarmId, string By) : EngineInput(Time);

/// <summary>Somebody acknowledged an alarm.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">The alarm's id, as in <see cref="AlarmEvent.AlarmId"/>.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Comment">What the person said; may be empty.</param>
public sealed record AcknowledgeInput(Timestamp Time, string AlarmId, string By, string Comment) : AlarmInput(Time, AlarmId, By);

/// <summary>Somebody puts an alarm aside. Without effect without a name, a reason, and an end that lies ahead.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">The alarm's id.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Reason">Why.</param>
/// <param name="Until">When it comes back; at most the cell's longest shelving from now.</param>
/// <param name="OneShot">Whether it comes back as soon as the condition is gone.</param>
public sealed record ShelveInput(Timestamp Time, string AlarmId, string By, string Reason, Timestamp Until, bool OneShot = false)
    : AlarmInput(Time, AlarmId, By);

/// <summary>Somebody takes an alarm back that was put aside.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">The alarm's id.</param>
/// <param name="By">Name of the person.</param>
public sealed record UnshelveInput(Timestamp Time, string AlarmId, string By) : AlarmInput(Time, AlarmId, By);

/// <summary>Somebody takes an alarm out of service, or brings it back. Without effect without a name and, on the way out, a reason.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">The alarm's id.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Reason">Why; on the way back what was done.</param>
/// <param name="Out">True: out of service; false: back.</param>
public sealed record OutOfServiceInput(Timestamp Time, string AlarmId, string By, string Reason, bool Out) : AlarmInput(Time, AlarmId, By);

/// <summary>Somebody lets a latched alarm go.</summary>
/// <param name="Time">When.</param>
/// <param name="AlarmId">The alarm's id.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Comment">What was found or done; may be empty.</param>
public sealed record ResetInput(Timestamp Time, string AlarmId, string By, string Comment) : AlarmInput(Time, AlarmId, By);

/// <summary>Something outside the engine says how a condition stands that it cannot know: the recording, a feed, what is due.</summary>
/// <param name="Time">When.</param>
/// <param name="Condition">
/// Its name: recording, feed, feedRejected or verificationDue; or <c>offReference/</c> and a channel, whose distance from the corridor of
/// released runs is the value, K. Another has no effect.
/// </param>
/// <param name="Holds">Whether it holds.</param>
/// <param name="Value">The value; null if it has none.</param>
/// <param name="Limit">The limit; null if there is none.</param>
public sealed record ReportInput(Timestamp Time, string Condition, bool Holds, double? Value, double? Limit) : EngineInput(Time);

/// <summary>Somebody, or a program, says that a run begins. Without effect while the carrier has one.</summary>
/// <param name="Time">When; readings from then on belong to the run.</param>
/// <param name="Carrier">Which carrier.</param>
/// <param name="By">Name of the person or program.</param>
/// <param name="Kind">What the run is for; null: by whether product sensors give readings.</param>
/// <param name="Recipe">Number of the recipe; null: what the machine's signal says, if it is wired.</param>
public sealed record StartRunInput(Timestamp Time, string Carrier, string By, RunKind? Kind = null, int? Recipe = null) : EngineInput(Time);

/// <summary>Somebody, or a program, says that a run ends. Without effect while the carrier has none.</summary>
/// <param name="Time">When; the last reading at or before it is the run's last.</param>
/// <param name="Carrier">Which carrier.</param>
/// <param name="By">Name of the person or program.</param>
public sealed record EndRunInput(Timestamp Time, string Carrier, string By) : EngineInput(Time);

/// <summary>Somebody says what the open run is for. Without effect while the carrier has none.</summary>
/// <param name="Time">When.</param>
/// <param name="Carrier">Which carrier.</param>
/// <param name="Kind">What it is for.</param>
/// <param name="By">Name of the person or program.</param>
public sealed record RunKindInput(Timestamp Time, string Carrier, RunKind Kind, string By) : EngineInput(Time);

/// <summary>Somebody says that they acted on the machine during the open run. Without effect while the carrier has none.</summary>
/// <param name="Time">When it was said.</param>
/// <param name="Carrier">Which carrier.</param>
/// <param name="By">Name of the person.</param>
/// <param name="What">What was done, in the person's words; may be empty.</param>
public sealed record InterventionInput(Timestamp Time, string Carrier, string By, string What) : EngineInput(Time);
