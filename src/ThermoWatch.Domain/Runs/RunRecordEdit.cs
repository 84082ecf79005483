using System.Collections.Immutable;
using System.Globalization;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Runs;

/// <summary>A field that changed, in words, for the audit.</summary>
/// <param name="Field">Its name.</param>
/// <param name="From">What stood there; null: nothing.</param>
/// <param name="To">What stands there now; null: nothing.</param>
public sealed record FieldChange(string Field, string? From, string? To);

/// <summary>New words for some fields of a run's record; what is null stays as it is, and an empty text or list clears a field.</summary>
public sealed record RunRecordEdit
{
    private const int LongestText = 2000;
    private const int MostSerials = 500;
    private const int MostLoad = 1000;

    /// <summary>See <see cref="RunRecord.Product"/>.</summary>
    public string? Product { get; init; }

    /// <summary>See <see cref="RunRecord.Serials"/>.</summary>
    public ImmutableArray<string>? Serials { get; init; }

    /// <summary>See <see cref="RunRecord.Position"/>.</summary>
    public string? Position { get; init; }

    /// <summary>See <see cref="RunRecord.Load"/>.</summary>
    public int? Load { get; init; }

    /// <summary>See <see cref="RunRecord.Recipe"/>.</summary>
    public int? Recipe { get; init; }

    /// <summary>See <see cref="RunRecord.PasteLot"/>.</summary>
    public string? PasteLot { get; init; }

    /// <summary>See <see cref="RunRecord.PasteOpened"/>.</summary>
    public Timestamp? PasteOpened { get; init; }

    /// <summary>See <see cref="RunRecord.FloorLifeEnds"/>.</summary>
    public Timestamp? FloorLifeEnds { get; init; }

    /// <summary>See <see cref="RunRecord.Operator"/>.</summary>
    public string? Operator { get; init; }

    /// <summary>See <see cref="RunRecord.Sensors"/>.</summary>
    public ImmutableArray<SensorPlacement>? Sensors { get; init; }

    /// <summary>See <see cref="RunRecord.Remarks"/>.</summary>
    public string? Remarks { get; init; }

    /// <summary>Every field: its name, and what stands in it as one line.</summary>
    internal static IReadOnlyList<(string Name, Func<RunRecord, string?> Read)> Fields { get; } =
    [
        ("product", r => r.Product),
        ("serials", r => Joined(r.Serials)),
        ("position", r => r.Position),
        ("load", r => r.Load?.ToString(CultureInfo.InvariantCulture)),
        ("recipe", r => r.Recipe?.ToString(CultureInfo.InvariantCulture)),
        ("pasteLot", r => r.PasteLot),
        ("pasteOpened", r => r.PasteOpened?.ToString()),
        ("floorLifeEnds", r => r.FloorLifeEnds?.ToString()),
        ("operator", r => r.Operator),
        ("sensors", r => Joined(r.Sensors.Select(s => $"{s.Channel}: {s.Place}, {s.Attachment}{(s.CalibrationReference is { } reference ? $", {reference}" : "")}"))),
        ("remarks", r => r.Remarks),
    ];

    /// <summary>What is wrong with it, each with its remedy; empty if nothing is.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> found = [];
        foreach ((string field, string? text) in new[]
        {
            ("product", Product), ("position", Position), ("pasteLot", PasteLot), ("operator", Operator), ("remarks", Remarks),
        })
        {
            if (text?.Length > LongestText)
            {
                found.Add($"{field}: {text.Length} characters; give at most {LongestText}.");
            }
        }

        if (Load is { } load && load is < 0 or > MostLoad)
        {
            found.Add($"load: {load} boards; give 0 to {MostLoad}.");
        }

        if (Recipe is < 0)
        {
            found.Add($"recipe: {Recipe}; recipe numbers begin at 0.");
        }

        if (Serials is { } serials)
        {
            if (serials.Length > MostSerials)
            {
                found.Add($"serials: {serials.Length} boards; give at most {MostSerials}.");
            }

            foreach (string twice in serials.Select(s => s.Trim()).GroupBy(s => s).Where(g => g.Count() > 1).Select(g => g.Key))
            {
                found.Add($"serials: \"{twice}\" stands there twice; a board is in a run once.");
            }

            if (serials.Any(string.IsNullOrWhiteSpace))
            {
                found.Add("serials: one of them is empty; leave it out.");
            }
        }

        if (Sensors is { } sensors)
        {
            foreach (string twice in sensors.GroupBy(s => s.Channel).Where(g => g.Count() > 1).Select(g => g.Key))
            {
                found.Add($"sensors: channel {twice} stands there twice; say once how it sits.");
            }
        }

        return found;
    }

    /// <summary>The record with these words in it, and what that changed; nothing if all of it stood there already.</summary>
    /// <param name="record">The record before.</param>
    public (RunRecord Record, ImmutableArray<FieldChange> Changes) ApplyTo(RunRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        RunRecord after = record with
        {
            Product = Text(Product, record.Product),
            Serials = Serials is { } serials ? [.. serials.Select(s => s.Trim())] : record.Serials,
            Position = Text(Position, record.Position),
            Load = Load ?? record.Load,
            Recipe = Recipe ?? record.Recipe,
            PasteLot = Text(PasteLot, record.PasteLot),
            PasteOpened = PasteOpened ?? record.PasteOpened,
            FloorLifeEnds = FloorLifeEnds ?? record.FloorLifeEnds,
            Operator = Text(Operator, record.Operator),
            Sensors = Sensors ?? record.Sensors,
            Remarks = Text(Remarks, record.Remarks),
        };
        return (after, [.. Fields.Select(f => new FieldChange(f.Name, f.Read(record), f.Read(after))).Where(c => c.From != c.To)]);
    }

    private static string? Text(string? wanted, string? present) => wanted is null ? present : wanted.Trim() is { Length: > 0 } text ? text : null;

    private static string? Joined(IEnumerable<string> parts) => string.Join("; ", parts) is { Length: > 0 } line ? line : null;
}
