using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>Scans of one device that were recorded with one wiring.</summary>
/// <param name="Device">The device as it was then: which column is which point.</param>
/// <param name="Columns">Its scans.</param>
public sealed record RecordedScans(DeviceDefinition Device, ScanColumns Columns);

/// <summary>A cell's record as it lies in a folder, only to be read: a backup, or that of a service which may be running.</summary>
/// <remarks>Nothing in the folder is changed. What is recorded after opening is not in it.</remarks>
public sealed class RecordedJournal
{
    private readonly SegmentList _segments = new();
    private readonly JournalReader _reader;
    private readonly ScanReader _scans;

    private RecordedJournal() => (_reader, _scans) = (new JournalReader(_segments), new ScanReader(_segments, new JournalReader(_segments)));

    /// <summary>Number of the newest entry; zero if there is none.</summary>
    public long LastSequence => _segments.LastSequence;

    /// <summary>The cell as it was wired at the end; null if nobody can tell.</summary>
    public CellDefinition? Newest => LastSequence == 0 ? null : _reader.DefinitionAt(LastSequence);

    /// <summary>Looks what a folder holds.</summary>
    /// <param name="folder">As <see cref="DataFolder.JournalPath"/>.</param>
    /// <exception cref="IOException">The folder is not there, or a file in it cannot be read.</exception>
    /// <exception cref="UnauthorizedAccessException">It may not be read.</exception>
    public static RecordedJournal Open(string folder)
    {
        var journal = new RecordedJournal();

        // The files first: one that is sealed while we look is then found in the archive.
        List<Segment> files = Files(folder);
        List<Segment> pieces = [];
        foreach ((string path, _) in ArchiveIndex.Files(folder))
        {
            pieces.AddRange(ArchiveIndex.Blocks(path, [], out _).Where(block => !block.Header.IsCell).Select(JournalSealer.AsSegment));
        }

        long lastSealed = pieces.Count == 0 ? 0 : pieces.Max(piece => piece.LastSequence);
        pieces.AddRange(files.Where(file => file.FirstSequence > lastSealed));
        pieces.Sort((a, b) => a.FirstSequence.CompareTo(b.FirstSequence));
        for (int i = 0; i < pieces.Count; i++)
        {
            if (pieces[i].Sealed is null)
            {
                Measure(pieces[i], i + 1 < pieces.Count ? pieces[i + 1].FirstSequence : null);
            }

            journal._segments.Add(pieces[i]);
        }

        return journal;
    }

    /// <summary>Entries in order from a number on; what cannot be read comes as <see cref="DamagedEntries"/>.</summary>
    public IEnumerable<JournalEntry> ReadFrom(long sequence) => _reader.ReadFrom(sequence);

    /// <summary>The scans of one device in a span of time, piece by piece, each with the wiring of its time.</summary>
    /// <param name="deviceId">Id of the device.</param>
    /// <param name="from">Earliest time wanted.</param>
    /// <param name="to">Latest time wanted.</param>
    /// <param name="damaged">Told, in plain words, what could not be read.</param>
    public IEnumerable<RecordedScans> ReadDevice(string deviceId, Timestamp from, Timestamp to, Action<string>? damaged = null)
    {
        foreach (Segment piece in _segments.All())
        {
            if (piece.Sealed is { } block && (block.Header.Latest < from || block.Header.Earliest > to))
            {
                continue;
            }

            if (_reader.DefinitionAt(piece.FirstSequence) is not { } cell)
            {
                damaged?.Invoke($"{piece.Name}: nobody can tell how the cell was wired");
                continue;
            }

            int index = cell.Devices.ToList().FindIndex(device => device.Id == deviceId);
            foreach (ScanColumns columns in _scans.ReadPiece(piece, from, to, damaged))
            {
                if (columns.DeviceIndex == index)
                {
                    yield return new RecordedScans(cell.Devices[index], columns);
                }
            }
        }
    }

    private static List<Segment> Files(string folder)
    {
        List<Segment> files = [];
        foreach (FileInfo file in new DirectoryInfo(folder).EnumerateFiles("*" + Segment.Extension))
        {
            if (Segment.TryParseName(file.Name, out long first))
            {
                files.Add(new Segment(file.FullName, first) { Length = file.Length });
            }
        }

        return files;
    }

    /// <summary>Finds how far a file goes: up to the next one, or as far as entries are whole.</summary>
    private static void Measure(Segment file, long? following)
    {
        if (following is { } next)
        {
            file.LastSequence = next - 1;
            return;
        }

        byte[] bytes = File.ReadAllBytes(file.Path);
        SegmentHeader? header = SegmentHeader.TryRead(bytes, out _);
        var walk = new SegmentWalk(bytes, header?.Length ?? 0, file.FirstSequence, file.Name);
        while (walk.Next() is not null)
        {
            // Only its end is wanted.
        }

        (file.Length, file.LastSequence, file.HeaderLength, file.Cell) = (walk.Offset, walk.NextSequence - 1, header?.Length ?? 0, header?.Cell);
    }
}
