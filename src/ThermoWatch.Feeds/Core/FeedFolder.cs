using System.Text.Json;

namespace ThermoWatch.Feeds;

/// <summary>A stretch of a lane that is still to be sent.</summary>
/// <param name="Lane">Name of the lane.</param>
/// <param name="First">First entry.</param>
/// <param name="After">Last entry confirmed.</param>
/// <param name="Last">Last entry.</param>
/// <param name="Owed">Whether it was never sent: a backlog that live values have passed by. Nobody may cancel it.</param>
public sealed record Stretch(string Lane, long First, long After, long Last, bool Owed = false);

/// <summary>Where a feed stands, as it is written down.</summary>
/// <param name="Lanes">Last entry confirmed, by the name of the lane.</param>
/// <param name="Backfills">Stretches of the past, in the order in which they are sent.</param>
/// <param name="Paused">Whether a person has paused it.</param>
/// <param name="SeenThrough">Up to which line of the quarantine somebody has seen it.</param>
public sealed record FeedPositions(Dictionary<string, long> Lanes, List<Stretch> Backfills, bool Paused, long SeenThrough = 0);

/// <summary>The folder of one feed: its positions, and the lines that its target would not take.</summary>
public sealed class FeedFolder
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web) { WriteIndented = true };
    private readonly string _positions;

    /// <param name="path">The folder; made if it is not there.</param>
    public FeedFolder(string path)
    {
        Directory.CreateDirectory(path);
        _positions = Path.Combine(path, "position.json");
        Quarantine = new Quarantine(Path.Combine(path, "quarantine.jsonl"));
    }

    /// <summary>What the target would not take.</summary>
    public Quarantine Quarantine { get; }

    /// <summary>Why the positions could not be read; null if they could, or there were none.</summary>
    public string? Loss { get; private set; }

    /// <summary>What was written last; null if nothing was, or it cannot be read.</summary>
    public FeedPositions? Load()
    {
        try
        {
            return File.Exists(_positions) ? JsonSerializer.Deserialize<FeedPositions>(File.ReadAllText(_positions), Json) : null;
        }
        catch (Exception fault) when (fault is JsonException or IOException or UnauthorizedAccessException)
        {
            Loss = $"{_positions} cannot be read ({fault.Message}); the feed begins with the oldest entry, and targets see what they had already.";
            return null;
        }
    }

    /// <summary>Writes the positions so that after a power cut either these stand there or those before.</summary>
    /// <exception cref="IOException">The disk refuses; those before stand.</exception>
    public void Save(FeedPositions positions)
    {
        string draft = _positions + ".new";
        using (FileStream file = new(draft, FileMode.Create, FileAccess.Write))
        {
            JsonSerializer.Serialize(file, positions, Json);
            file.Flush(flushToDisk: true);
        }

        File.Move(draft, _positions, overwrite: true);
    }
}
