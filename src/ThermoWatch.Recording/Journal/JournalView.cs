using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>A cell's record for reading only: nothing in the folder is touched, and a service may be recording into it.</summary>
public sealed class JournalView
{
    private readonly string _folder;
    private SegmentList _segments;
    private JournalReader _reader;
    private (long First, long Last, SealedBlock? Said, CellDefinition? Cell) _definition = (0, -1, null, null);

    private JournalView(string folder)
    {
        _folder = folder;
        _segments = Look(folder);
        _reader = new JournalReader(_segments);
    }

    /// <summary>Looks at a folder.</summary>
    /// <param name="folder">As <see cref="DataFolder.JournalPath"/>.</param>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static JournalView Of(string folder) => new(folder);

    /// <summary>Number of the newest entry; zero if there is none.</summary>
    public long LastSequence => _segments.LastSequence;

    /// <summary>Entries in order from a number on, each with the cell as it was wired then; null where nobody can tell.</summary>
    /// <remarks>What cannot be read comes as <see cref="MissingEntries"/>: nothing is left out in silence.</remarks>
    public IEnumerable<(CellDefinition? Cell, JournalEntry Entry)> ReadFrom(long sequence)
    {
        long next = Math.Max(1, sequence);
        for (bool lookAgain = true; lookAgain;)
        {
            lookAgain = false;
            foreach (JournalEntry entry in _reader.ReadFrom(next))
            {
                if (entry is DamagedEntries && !lookAgain)
                {
                    // A file that the service sealed meanwhile is no damage: its entries stand in the archive now.
                    lookAgain = HasMoved(entry.Sequence);
                    if (lookAgain)
                    {
                        break;
                    }
                }

                yield return (DefinitionAt(entry.Sequence), entry);
                next = (entry is MissingEntries missing ? missing.LastSequence : entry.Sequence) + 1;
            }
        }
    }

    /// <summary>A number from which on every entry of a span of time is met; entries before the span may be too.</summary>
    public long StartOf(Timestamp from)
    {
        foreach (Segment piece in _segments.All())
        {
            if (piece.Sealed is not { } block || block.Header.Latest >= from)
            {
                return piece.FirstSequence;
            }
        }

        return _segments.LastSequence + 1;
    }

    /// <summary>A number behind every entry of a span of time, as far as sealed blocks tell: a clock that went back only makes it later.</summary>
    public long EndOf(Timestamp to) =>
        _segments.All().LastOrDefault(piece => piece.Sealed is not { } block || block.Header.Earliest <= to)?.LastSequence ?? 0;

    /// <summary>The ways in which the cell was wired over some entries, in order.</summary>
    public IReadOnlyList<CellDefinition> DefinitionsOver(long first, long last)
    {
        List<CellDefinition> found = [];
        foreach (Segment piece in _segments.All().Where(piece => piece.LastSequence >= first && piece.FirstSequence <= last))
        {
            if (DefinitionAt(piece.FirstSequence) is { } cell && !found.Contains(cell))
            {
                found.Add(cell);
            }
        }

        return found;
    }

    private CellDefinition? DefinitionAt(long sequence)
    {
        if (sequence < _definition.First || sequence > _definition.Last)
        {
            Segment? piece = _segments.Find(sequence)?.Segment;
            SealedBlock? said = piece?.Sealed?.Cell;
            CellDefinition? cell = said is not null && said == _definition.Said ? _definition.Cell : _reader.DefinitionAt(sequence);
            _definition = (piece?.FirstSequence ?? sequence, piece?.LastSequence ?? sequence, said, cell);
        }

        return _definition.Cell;
    }

    private bool HasMoved(long sequence)
    {
        Segment? before = _segments.Find(sequence)?.Segment;
        SegmentList now = Look(_folder);
        if (now.Find(sequence)?.Segment is { Sealed: not null } && before?.Sealed is null)
        {
            (_segments, _reader) = (now, new JournalReader(now));
            return true;
        }

        return false;
    }

    private static SegmentList Look(string folder)
    {
        // The journal first: what is sealed while we look is then found in the archive, and nothing is missed.
        List<(string Path, long First, long Length)> journal = [];
        foreach (FileInfo file in new DirectoryInfo(folder).EnumerateFiles("*" + Segment.Extension))
        {
            if (Segment.TryParseName(file.Name, out long first))
            {
                journal.Add((file.FullName, first, file.Length));
            }
        }

        List<Segment> pieces = [.. ArchiveIndex.Files(folder).SelectMany(file => ArchiveIndex.Blocks(file.Path, [], out _)).Where(block => !block.Header.IsCell).Select(JournalSealer.AsSegment)];
        HashSet<long> isSealed = [.. pieces.Select(piece => piece.FirstSequence)];
        pieces.AddRange(journal.Where(file => !isSealed.Contains(file.First)).Select(file => new Segment(file.Path, file.First) { Length = file.Length }));
        pieces.Sort((a, b) => a.FirstSequence.CompareTo(b.FirstSequence));
        var list = new SegmentList();
        for (int i = 0; i < pieces.Count; i++)
        {
            if (pieces[i].Sealed is null)
            {
                pieces[i].LastSequence = i + 1 < pieces.Count ? pieces[i + 1].FirstSequence - 1 : FindEnd(pieces[i]);
            }

            list.Add(pieces[i]);
        }

        return list;
    }

    /// <summary>The newest file may have been caught in the middle of a write: it is read up to its last whole entry.</summary>
    private static long FindEnd(Segment newest)
    {
        try
        {
            byte[] bytes = File.ReadAllBytes(newest.Path);
            var walk = new SegmentWalk(bytes, SegmentHeader.TryRead(bytes, out _)?.Length ?? 0, newest.FirstSequence, newest.Name);
            while (walk.Next() is not null)
            {
                // Only its end is wanted.
            }

            newest.Length = walk.Offset;
            return walk.NextSequence - 1;
        }
        catch (FileNotFoundException)
        {
            return newest.FirstSequence - 1; // sealed meanwhile
        }
    }
}
