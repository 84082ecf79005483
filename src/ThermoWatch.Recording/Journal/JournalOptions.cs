namespace ThermoWatch.Recording.Journal;

/// <summary>How a journal behaves; the defaults are meant to be right.</summary>
public sealed record JournalOptions
{
    /// <summary>A file that has grown to this many bytes is closed and a new one begun.</summary>
    public long SegmentBytes { get; init; } = 4 << 20;

    /// <summary>A file that is this old is closed and a new one begun.</summary>
    public TimeSpan SegmentAge { get; init; } = TimeSpan.FromHours(1);

    /// <summary>Time from the first write after a flush to the next flush. With the flush itself it stays under 250 ms.</summary>
    public TimeSpan SyncAfter { get; init; } = TimeSpan.FromMilliseconds(100);

    /// <summary>Entries between two places at which reading can begin.</summary>
    public int EntriesPerMark { get; init; } = 512;

    /// <summary>Bytes held in memory while the disk refuses; then entries are counted as not recorded.</summary>
    public int WaitingBytes { get; init; } = 32 << 20;

    /// <summary>Time between two attempts while the disk refuses.</summary>
    public TimeSpan RetryAfter { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>Whether closed files are sealed into the archive by a thread of the journal's own; else only by <see cref="CellJournal.SealClosed"/>.</summary>
    public bool SealInBackground { get; init; } = true;

    /// <summary>Most entries of a sealed block, up to 65536: more compress better, fewer are quicker to read singly. Null: 4096 for each device of the cell.</summary>
    public int? BlockEntries { get; init; }

    /// <summary>Told, on the sealing thread, up to which entry the record is sealed now; null: nobody.</summary>
    public Action<JournalSeal>? Sealed { get; init; }

    /// <summary>An archive file that has grown to this many bytes is closed and a new one begun.</summary>
    public long ArchiveBytes { get; init; } = 64 << 20;
}
