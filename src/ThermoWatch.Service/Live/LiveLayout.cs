using System.Text.Json.Serialization;
using MessagePack;

namespace ThermoWatch.Service.Live;

// How a cell is wired and what it is held against: asked for once, and again when it has changed. See LiveContract.cs.

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

    /// <summary>Its carriers, also those that have had no run yet.</summary>
    [Key("carriers")] public string[] Carriers { get; init; } = [];

    /// <summary>Devices.</summary>
    [Key("devices")] public required DeviceLayout[] Devices { get; init; }

    /// <summary>Seconds between frames, nominal.</summary>
    [Key("interval_s"), JsonPropertyName("interval_s")] public required double IntervalSeconds { get; init; }

    /// <summary>Ask <c>since</c> from here to draw the run that is open, or the last one.</summary>
    [Key("fromSeq")] public required long FromSeq { get; init; }

    /// <summary>Usual length in s of a run by <see cref="Spec"/>: the median of the last good ones; null when there are none yet.</summary>
    [Key("usualCycle_s"), JsonPropertyName("usualCycle_s")] public double? UsualCycleSeconds { get; init; }

    /// <summary>Usual phases of a run by <see cref="Spec"/>; empty when there are none yet.</summary>
    [Key("usualPhases")] public required UsualPhase[] UsualPhases { get; init; }

    /// <summary>The spec of a run of which nothing tells another; null without one.</summary>
    [Key("spec")] public SpecLayout? Spec { get; init; }

    /// <summary>Every spec that runs may be judged by here: a run names its own.</summary>
    [Key("specs")] public required SpecLayout[] Specs { get; init; }

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

    /// <summary>Usual length of its runs in s: the median of the last good ones; null when there are none yet.</summary>
    [Key("usualCycle_s"), JsonPropertyName("usualCycle_s")] public double? UsualCycleSeconds { get; init; }

    /// <summary>Usual phases of its runs; empty when there are none yet.</summary>
    [Key("usualPhases")] public required UsualPhase[] UsualPhases { get; init; }
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
