using System.Collections.Immutable;

namespace ThermoWatch.Domain.Alarms;

/// <summary>How one condition behaves. Everything not given has the condition's own default.</summary>
public sealed record AlarmSettings
{
    /// <summary>How soon somebody must act.</summary>
    public AlarmPriority? Priority { get; init; }

    /// <summary>How long the condition must hold without a break before it is told.</summary>
    public TimeSpan? OnDelay { get; init; }

    /// <summary>How long its return must hold before it is over.</summary>
    public TimeSpan? OffDelay { get; init; }

    /// <summary>How far the value must come back past the limit, in the channel's unit (of a pressure: in decades).</summary>
    public double? Deadband { get; init; }

    /// <summary>Whether it stays until somebody resets it.</summary>
    public bool? Latching { get; init; }

    /// <summary>An acknowledged alarm is told again after this; null: never.</summary>
    public TimeSpan? ReAlarm { get; init; }

    /// <summary>Whether the condition is watched at all.</summary>
    public bool Enabled { get; init; } = true;
}

/// <summary>Alarms of one cell. The defaults serve a cell of which nothing is known but its channels.</summary>
public sealed record AlarmRules
{
    /// <summary>What differs from the defaults, by the condition's name.</summary>
    public ImmutableDictionary<string, AlarmSettings> Conditions { get; init; } = ImmutableDictionary<string, AlarmSettings>.Empty;

    /// <summary>What a person may do at the machine.</summary>
    public ImmutableArray<MachineAction> Actions { get; init; } = [];

    /// <summary>Whether a person may act on a running process.</summary>
    public ProcessControl Process { get; init; }

    /// <summary>Longest time for which an alarm can be put aside at once.</summary>
    public TimeSpan LongestShelving { get; init; } = TimeSpan.FromHours(12);

    /// <summary>Temperature above which the fluid decomposes, °C: the makers' sheets say about 290.</summary>
    public double FluidStability { get; init; } = 290;

    /// <summary>Motion above which a carrier with molten joints is said to have moved, in the motion channel's unit; null: not watched.</summary>
    public double? MotionLimit { get; init; }
}

/// <summary>Whether a person may act on a running process.</summary>
public enum ProcessControl
{
    /// <summary>Acting is a deviation: a validated process. The default, as nobody has said that it may be done.</summary>
    Locked,

    /// <summary>A person may act.</summary>
    Open,
}

/// <summary>What an action at the machine brings about.</summary>
public enum ActionEffect
{
    /// <summary>The hold under vacuum ends, and the chamber is vented.</summary>
    EndHold,

    /// <summary>Cooling begins.</summary>
    StartCooling,

    /// <summary>The boards stay longer in the vapour.</summary>
    StayInVapour,

    /// <summary>The evacuation begins later.</summary>
    EvacuateLater,

    /// <summary>Heating stops.</summary>
    StopHeating,

    /// <summary>The programme goes on with its next step.</summary>
    NextStep,
}

/// <summary>Something a person may do at the machine's own control.</summary>
/// <param name="Name">As written on the machine.</param>
/// <param name="Effect">What it brings about.</param>
/// <param name="LeadTime">From the decision to the effect.</param>
/// <param name="Phases">Phases in which it is possible; empty: in every one.</param>
public sealed record MachineAction(string Name, ActionEffect Effect, TimeSpan LeadTime, ImmutableArray<string> Phases);
