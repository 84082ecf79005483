using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>Everything that one cell's instruments and people said, in one order, on disk: the record.</summary>
/// <remarks>
/// One task appends; any number of readers read beside it and never hold it up. An entry that has been appended
/// outlives this process; after <see cref="JournalOptions.SyncAfter"/> and one flush it outlives a power cut.
/// The files are drawn byte by byte in FORMAT.md.
/// </remarks>
public sealed class CellJournal : IDisposable
{
    private readonly SegmentList _segments;
    private readonly JournalReader _reader;
    private readonly JournalSyncer _syncer;
    private readonly JournalWriter _writer;
    private readonly JournalSealer _sealer;
    private readonly ScanReader _scans;
    private readonly OverviewReader _overviews;
    private readonly IJournalDisk _disk;
    private bool _disposed;

    private CellJournal(string folder, CellDefinition cell, TimeProvider time, JournalOptions options, IJournalDisk disk, JournalOpening opening)
    {
        Losses = opening.Losses;
        _disk = disk;
        _segments = opening.Segments;
        _reader = new JournalReader(_segments);
        _scans = new ScanReader(_segments, _reader);
        _overviews = new OverviewReader(_segments, _scans);
        _syncer = new JournalSyncer(disk, folder, time, options.SyncAfter, opening.NextSequence - 1);
        _sealer = new JournalSealer(_segments, opening.Archive, time, options.SealInBackground, options.Sealed);
        _writer = new JournalWriter(folder, cell, time, options, disk, _segments, _syncer, _sealer.Wake, opening.Continue, opening.Created, opening.NextSequence);
    }

    /// <summary>What opening found missing or damaged; empty after a clean end.</summary>
    public IReadOnlyList<JournalLoss> Losses { get; }

    /// <summary>Number of the newest entry that readers can see; zero in an empty journal.</summary>
    public long LastSequence => _segments.LastSequence;

    /// <summary>Up to this entry everything outlives a power cut. What keeps its own place in the journal should not keep a later one.</summary>
    public long SyncedSequence => _syncer.SyncedSequence;

    /// <summary>How recording stands.</summary>
    public JournalHealth Health => _writer.Health;

    /// <summary>Opens the journal in a folder, or begins one.</summary>
    /// <param name="folder">Its folder; made if it is not there. Nobody else writes in it (<see cref="DataFolder"/> sees to that).</param>
    /// <param name="cell">The cell as it is wired now; another wiring than before begins a new file.</param>
    /// <param name="time">For the age of files and the delay of flushes; entries carry their own times.</param>
    /// <param name="options">Null for the defaults.</param>
    /// <exception cref="IOException">The folder itself cannot be made or listed. Damaged files are <see cref="Losses"/>, not exceptions.</exception>
    public static CellJournal Open(string folder, CellDefinition cell, TimeProvider time, JournalOptions? options = null) =>
        Open(folder, cell, time, options ?? new JournalOptions(), JournalDisk.Instance);

    internal static CellJournal Open(string folder, CellDefinition cell, TimeProvider time, JournalOptions options, IJournalDisk disk) =>
        new(folder, cell, time, options, disk, JournalOpening.Of(folder, cell, options, disk));

    /// <summary>Appends an input; it is handed to the operating system before this returns.</summary>
    /// <returns>Its number, from 1; zero if it could not be recorded (see <see cref="Health"/>).</returns>
    public long Append(EngineInput input) => _writer.Append([input]);

    /// <summary>Appends inputs in one write.</summary>
    /// <returns>Number of the first, the others follow; zero if none could be recorded.</returns>
    public long AppendBatch(ReadOnlySpan<EngineInput> inputs) => _writer.Append(inputs);

    /// <summary>Appends the engine's state after all entries so far.</summary>
    /// <returns>Its number; zero if it could not be recorded.</returns>
    public long AppendSnapshot(Timestamp time, ReadOnlySpan<byte> state) => _writer.AppendSnapshot(time, state);

    /// <summary>Waits until everything appended so far outlives a power cut.</summary>
    /// <returns>False if the disk refuses, at once and without waiting for it to come back.</returns>
    public Task<bool> SyncAsync() => _writer.TryWriteNow() ? _syncer.SyncAsync() : Task.FromResult(false);

    /// <summary>Closes the current file, so that the next entry begins a new one (at the end of a run).</summary>
    public void CloseSegment() => _writer.CloseSegment();

    /// <summary>Seals closed files into the archive now, on the caller's thread; returns how many. In the background it happens by itself.</summary>
    public int SealClosed() => _sealer.SealClosed();

    /// <summary>Up to where the record is sealed, and the hash that stands for all of it.</summary>
    public JournalSeal Seal => _sealer.Seal;

    /// <summary>Why the last closed file could not be sealed; null if none failed. Its entries are still in the journal.</summary>
    public string? SealProblem => _sealer.Problem;

    /// <summary>The sealed blocks in order, those that were taken out too.</summary>
    public IReadOnlyList<SealedStretch> SealedStretches() =>
        [.. _segments.All().Where(piece => piece.Sealed is not null).Select(piece => SealedStretch.Of(piece.Sealed!))];

    /// <summary>Takes a sealed block out of the record. The chain of events must say so already (<see cref="Catalogue.RunCatalogue.SaveRemoval"/>).</summary>
    /// <param name="firstSequence">Its first entry.</param>
    /// <returns>Bytes that go back to the disk; zero if there is no such block, or it is out already.</returns>
    /// <exception cref="IOException">The disk refuses.</exception>
    public long Remove(long firstSequence)
    {
        Segment? piece = _segments.All().FirstOrDefault(piece => piece.FirstSequence == firstSequence);
        if (piece?.Sealed is not { Header.IsRemoved: false } block)
        {
            return 0;
        }

        SealedBlock left = CellArchive.Remove(block, _disk);
        _segments.Replace(piece, [JournalSealer.AsSegment(left)]);
        return block.Header.BlockLength - BlockHeader.Length;
    }

    /// <summary>Entries in order from a number on, up to the newest when it gets there; beside the writer.</summary>
    /// <param name="sequence">First number wanted, from 1.</param>
    /// <remarks>Numbers that cannot be read any more come as one <see cref="DamagedEntries"/>: nothing is left out in silence.</remarks>
    public IEnumerable<JournalEntry> ReadFrom(long sequence) => _reader.ReadFrom(sequence);

    /// <summary>The same, each with the cell as it was wired then; null where nobody can tell. Files with the same wiring give the same object.</summary>
    /// <param name="sequence">First number wanted, from 1.</param>
    /// <param name="known">A wiring from an earlier call: where the cell is wired so, it is this object again.</param>
    public IEnumerable<(CellDefinition? Cell, JournalEntry Entry)> ReadWiredFrom(long sequence, CellDefinition? known = null) =>
        WiredEntries.ReadFrom(_segments, _reader, sequence, known);

    /// <summary>First and last entry of a span of time, with some more at both ends: whole files and blocks.</summary>
    /// <param name="from">Earliest time wanted.</param>
    /// <param name="to">Latest time wanted; null: no end.</param>
    public (long First, long Last) SpanOf(Timestamp from, Timestamp? to) => WiredEntries.SpanOf(_segments, from, to);

    /// <summary>The scans of a span of time as columns, piece by piece; far quicker than entry by entry.</summary>
    /// <param name="from">Earliest time wanted.</param>
    /// <param name="to">Latest time wanted.</param>
    /// <param name="damaged">Told, in plain words, what could not be read.</param>
    public IEnumerable<ScanColumns> ReadScans(Timestamp from, Timestamp to, Action<string>? damaged = null) => _scans.Read(from, to, damaged);

    /// <summary>A span of one point in at most so many buckets, each with least, most and mean of its raw numbers.</summary>
    /// <param name="device">Place of the device in the cell's list.</param>
    /// <param name="point">Place of the point in the device's list.</param>
    /// <param name="from">Where the span begins; the first bucket may begin before it.</param>
    /// <param name="to">Where it ends; the last bucket may end after it.</param>
    /// <param name="mostBuckets">At least 2.</param>
    public Overview ReadOverview(int device, int point, Timestamp from, Timestamp to, int mostBuckets) =>
        _overviews.Read(device, point, from, to, mostBuckets);

    /// <summary>The newest snapshot whose time is not later than this; null if there is none that can be read.</summary>
    public JournalSnapshot? LatestSnapshot(Timestamp notAfter) => _reader.LatestSnapshot(notAfter);

    /// <summary>The cell as it was wired when an entry was recorded; null if nobody can tell.</summary>
    public CellDefinition? DefinitionAt(long sequence) => _reader.DefinitionAt(sequence);

    /// <summary>Writes and flushes what there is, and closes the files.</summary>
    public void Dispose()
    {
        if (_disposed)
        {
            return;
        }

        _disposed = true;
        _writer.TryWriteNow();
        _sealer.Dispose();
        _syncer.Dispose();
    }
}
