using System.Text.Json.Serialization;
using MessagePack;

namespace ThermoWatch.Service.Live;

// What follows a state for those who ask by `follow`: only what is another since the one before. Most of a state are
// texts, and they stay; what moves several times a second are a few numbers.

/// <summary>What has changed in a cell's state since the one before; what is null is as it was.</summary>
[MessagePackObject]
public sealed record CellChange
{
    /// <summary>Number of the cell.</summary>
    [Key("cell")] public required int Cell { get; init; }

    /// <summary>Journal entry of the state that this follows: on another one it means nothing.</summary>
    [Key("after")] public required long After { get; init; }

    /// <summary>Journal entry that it is true for.</summary>
    [Key("seq")] public required long Seq { get; init; }

    /// <summary>Time of that entry.</summary>
    [Key("t")] public required double T { get; init; }

    /// <summary>Numbers of the runs in their order; null while they are the same ones.</summary>
    [Key("order")] public long[]? Order { get; init; }

    /// <summary>Runs in which something is another.</summary>
    [Key("runs")] public RunChange[]? Runs { get; init; }

    /// <summary>Alarms that are told.</summary>
    [Key("alarms")] public AlarmLive[]? Alarms { get; init; }

    /// <summary>Alarms that are not.</summary>
    [Key("hiddenAlarms")] public AlarmLive[]? HiddenAlarms { get; init; }

    /// <summary>Numbers of alarms whose texts stay.</summary>
    [Key("numbers")] public AlarmNumbers[]? Numbers { get; init; }

    /// <summary>Devices.</summary>
    [Key("devices")] public DeviceLive[]? Devices { get; init; }

    /// <summary>Smoothed values.</summary>
    [Key("filtered")] public FilteredLive[]? Filtered { get; init; }
}

/// <summary>What has changed in a run.</summary>
[MessagePackObject]
public sealed record RunChange
{
    /// <summary>Its number.</summary>
    [Key("number")] public required long Number { get; init; }

    /// <summary>The run anew; its figures are left out where they are the same ones. Null: as it was.</summary>
    [Key("head")] public RunLive? Head { get; init; }

    /// <summary>Places in the list of figures of those whose numbers alone are others.</summary>
    [Key("at")] public required int[] At { get; init; }

    /// <summary>Their value, low, high and margin, each a little-endian float32, NaN for null.</summary>
    [Key("data")] public required byte[] Data { get; init; }

    /// <summary>Figures of which more is another than numbers.</summary>
    [Key("anew")] public FigureAnew[]? Anew { get; init; }
}

/// <summary>A figure anew.</summary>
[MessagePackObject]
public sealed record FigureAnew
{
    /// <summary>Its place in the list.</summary>
    [Key("at")] public required int At { get; init; }

    /// <summary>What it is now.</summary>
    [Key("figure")] public required FigureLive Figure { get; init; }
}

/// <summary>What moves in an alarm while it stands.</summary>
[MessagePackObject]
public sealed record AlarmNumbers
{
    /// <summary>Its id.</summary>
    [Key("id")] public required string Id { get; init; }

    /// <summary>Its value.</summary>
    [Key("value")] public double? Value { get; init; }

    /// <summary>How long there is to act.</summary>
    [Key("timeToAct_s"), JsonPropertyName("timeToAct_s")] public double? SecondsToAct { get; init; }
}
