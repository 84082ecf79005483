using System.Text.Json.Serialization;
using MessagePack;

namespace ThermoWatch.Service.Live;

// What of a state asks for somebody: alarms and devices. See LiveContract.cs.

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

    /// <summary>When it was raised; null if it never was, and somebody has put it aside all the same.</summary>
    [Key("since")] public required double? Since { get; init; }

    /// <summary>Value; null if none.</summary>
    [Key("value")] public double? Value { get; init; }

    /// <summary>Limit; null if none.</summary>
    [Key("limit")] public double? Limit { get; init; }

    /// <summary>Unit of both: degC, K, mbar, s ...; null if they are numbers, or there are none.</summary>
    [Key("unit")] public string? Unit { get; init; }

    /// <summary>high, medium or low.</summary>
    [Key("priority")] public required string Priority { get; init; }

    /// <summary>Whether its condition holds now.</summary>
    [Key("holds")] public required bool Holds { get; init; }

    /// <summary>Run in which it was raised; null if in none.</summary>
    [Key("run")] public long? Run { get; init; }

    /// <summary>Figure whose limit is concerned; null if none.</summary>
    [Key("figure")] public string? Figure { get; init; }

    /// <summary>Whom outside the cell it is about, such as a feed; null if nobody.</summary>
    [Key("source")] public string? Source { get; init; }

    /// <summary>What that one says, on one line and cut short, in its own language; null if nothing.</summary>
    [Key("words")] public string? Words { get; init; }

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
