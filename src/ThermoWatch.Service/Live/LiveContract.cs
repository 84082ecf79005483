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
/// A reading has turned out to be worth less than its frame said: a spike shows only beside its follower, a thermocouple that has come
/// off only beside the others, seconds later.
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

    /// <summary>In a refill: the last of the readings it is said of, whose frames say uncertain already; null: that one alone.</summary>
    [Key("to")] public double? To { get; init; }

    /// <summary>What it is worth now, as in files: uncertain:spike or uncertain:detached.</summary>
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
