using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>One file of the journal, as far as it may be read.</summary>
internal sealed class Segment(string path, long firstSequence)
{
    public const string Extension = ".twj";

    public string Path { get; } = path;

    public string Name => System.IO.Path.GetFileName(Path);

    public long FirstSequence { get; } = firstSequence;

    /// <summary>Number of its last entry that may be read; one before the first while it has none.</summary>
    public long LastSequence { get; set; } = firstSequence - 1;

    /// <summary>Bytes that may be read; what lies behind is still being written.</summary>
    public long Length { get; set; }

    /// <summary>Bytes of the header; null until somebody has looked. Zero when it is damaged.</summary>
    public int? HeaderLength { get; set; }

    /// <summary>The cell as it was wired; null until somebody has looked, or when it cannot be read.</summary>
    public CellDefinition? Cell { get; set; }

    /// <summary>Places where reading can begin; null until somebody has looked.</summary>
    public List<(long NextSequence, long FileOffset)>? Marks { get; set; }

    /// <summary>Snapshots in it; null until somebody has looked.</summary>
    public List<(long Sequence, Timestamp Time)>? Snapshots { get; set; }

    /// <summary>From when to when its entries are; null while nobody knows.</summary>
    public (Timestamp Earliest, Timestamp Latest)? Times { get; set; }

    /// <summary>The sealed block that it is; null for a journal file.</summary>
    public SealedBlock? Sealed { get; init; }

    /// <summary>Whether it was found damaged, so that it stays as it is.</summary>
    public bool IsDamaged { get; set; }

    /// <summary>The file's name says its first number, so that a folder can be understood without opening files.</summary>
    public static string NameFor(long firstSequence) => firstSequence.ToString("D16", CultureInfo.InvariantCulture) + Extension;

    public static bool TryParseName(string name, out long firstSequence)
    {
        firstSequence = 0;
        return name.EndsWith(Extension, StringComparison.Ordinal)
            && long.TryParse(name[..^Extension.Length], NumberStyles.None, CultureInfo.InvariantCulture, out firstSequence)
            && firstSequence > 0;
    }
}

/// <summary>The files of one journal in order. The writer publishes here how far readers may go; they never wait for it longer than that.</summary>
internal sealed class SegmentList
{
    private readonly Lock _gate = new();
    private readonly List<Segment> _segments = [];

    /// <summary>Number of the newest entry that can be read; zero if there is none.</summary>
    public long LastSequence
    {
        get
        {
            lock (_gate)
            {
                return _segments.Count == 0 ? 0 : _segments[^1].LastSequence;
            }
        }
    }

    public Segment[] All()
    {
        lock (_gate)
        {
            return [.. _segments];
        }
    }

    public void Add(Segment segment)
    {
        lock (_gate)
        {
            _segments.Add(segment);
        }
    }

    /// <summary>Puts sealed blocks in the place of the file whose entries they hold.</summary>
    public void Replace(Segment segment, IEnumerable<Segment> blocks)
    {
        lock (_gate)
        {
            int index = _segments.IndexOf(segment);
            _segments.RemoveAt(index);
            _segments.InsertRange(index, blocks);
        }
    }

    /// <summary>Whether a file is still one of these; one that was sealed meanwhile is not.</summary>
    public bool Contains(Segment segment)
    {
        lock (_gate)
        {
            int index = IndexFor(segment.FirstSequence);
            return index >= 0 && _segments[index] == segment;
        }
    }

    /// <summary>Lets readers see what has just been handed to the operating system.</summary>
    public void Publish(Segment segment, long lastSequence, long length, (Timestamp Earliest, Timestamp Latest)? times,
        List<(long NextSequence, long FileOffset)> marks, List<(long Sequence, Timestamp Time)> snapshots)
    {
        lock (_gate)
        {
            segment.LastSequence = lastSequence;
            segment.Length = length;
            segment.Times = times;
            segment.Marks!.AddRange(marks);
            segment.Snapshots!.AddRange(snapshots);
        }
    }

    /// <summary>Keeps what a reader found out about a closed file.</summary>
    public void Learn(Segment segment, List<(long NextSequence, long FileOffset)> marks, List<(long Sequence, Timestamp Time)> snapshots)
    {
        lock (_gate)
        {
            segment.Marks ??= marks;
            segment.Snapshots ??= snapshots;
        }
    }

    /// <summary>Whether entries of a span of time may lie in a piece: false only if it is known that none does.</summary>
    public bool MayHold(Segment piece, Timestamp from, Timestamp to)
    {
        if (piece.Sealed is { Header: var header })
        {
            return !header.IsRemoved && header.Latest >= from && header.Earliest <= to;
        }

        lock (_gate)
        {
            return piece.Times is not { } times || (times.Latest >= from && times.Earliest <= to);
        }
    }

    /// <summary>Snapshots known to be in a file; null if nobody has looked yet.</summary>
    public (long Sequence, Timestamp Time)[]? SnapshotsOf(Segment segment)
    {
        lock (_gate)
        {
            return segment.Snapshots?.ToArray();
        }
    }

    /// <summary>The stretch in which an entry lies, from the nearest place where reading can begin; null if it is not written yet.</summary>
    public Stretch? Find(long sequence)
    {
        lock (_gate)
        {
            int index = Math.Max(0, IndexFor(sequence)); // asked for what is no longer kept: begin with what there is

            if (index >= _segments.Count || _segments[^1].LastSequence < sequence)
            {
                return null;
            }

            Segment segment = _segments[index];
            (long next, long offset) = segment.Marks?.FindLast(mark => mark.NextSequence <= sequence) ?? default;
            long? following = index + 1 < _segments.Count ? _segments[index + 1].FirstSequence : null;
            return new Stretch(segment, offset, next, segment.Length, following);
        }
    }

    private int IndexFor(long sequence)
    {
        int low = 0, high = _segments.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = _segments[middle].FirstSequence <= sequence ? (middle + 1, high) : (low, middle);
        }

        return low - 1;
    }

    /// <summary>Bytes of one file that may be read.</summary>
    /// <param name="Segment">The file.</param>
    /// <param name="Offset">Where to begin: at a mark, or zero for the file's beginning.</param>
    /// <param name="NextSequence">Number of the entry behind that mark; zero at the file's beginning.</param>
    /// <param name="End">How far.</param>
    /// <param name="FollowingSequence">First number of the next file; null if this is the newest.</param>
    internal sealed record Stretch(Segment Segment, long Offset, long NextSequence, long End, long? FollowingSequence);
}
