using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>How a thermocouple was fastened, for the record of an instrumented run.</summary>
/// <param name="Channel">Its channel.</param>
/// <param name="Place">Where on the board, as people say it, such as <c>U3 centre ball</c>.</param>
/// <param name="Attachment">How it is held, such as <c>high-melting solder</c> or <c>epoxy</c>.</param>
/// <param name="CalibrationReference">Certificate of the channel; null if there is none.</param>
public sealed record SensorPlacement(string Channel, string Place, string Attachment, string? CalibrationReference = null);

/// <summary>What people and machines have said of a run, beside what was measured. Empty or null: nobody has said.</summary>
public sealed record RunRecord
{
    /// <summary>A run of which nothing has been said.</summary>
    public static RunRecord Empty { get; } = new();

    /// <summary>What was soldered, as the plant calls it.</summary>
    public string? Product { get; init; }

    /// <summary>Serial numbers of the boards.</summary>
    public ImmutableArray<string> Serials { get; init; } = [];

    /// <summary>Where on the carrier or in the machine it was.</summary>
    public string? Position { get; init; }

    /// <summary>Boards on the carrier.</summary>
    public int? Load { get; init; }

    /// <summary>Number of the machine's recipe.</summary>
    public int? Recipe { get; init; }

    /// <summary>Lot of the solder paste.</summary>
    public string? PasteLot { get; init; }

    /// <summary>When the paste jar was opened.</summary>
    public Timestamp? PasteOpened { get; init; }

    /// <summary>Until when moisture-sensitive parts may be heated (IPC/JEDEC J-STD-033 floor life).</summary>
    public Timestamp? FloorLifeEnds { get; init; }

    /// <summary>Who ran it.</summary>
    public string? Operator { get; init; }

    /// <summary>How the thermocouples sat; one at most for a channel.</summary>
    public ImmutableArray<SensorPlacement> Sensors { get; init; } = [];

    /// <summary>Anything else.</summary>
    public string? Remarks { get; init; }

    /// <summary>Whether another holds the same, list by list.</summary>
    public bool Equals(RunRecord? other) =>
        other is not null && RunRecordEdit.Fields.All(field => field.Read(this) == field.Read(other));

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Product, Load, Recipe, PasteLot, Operator);
}
