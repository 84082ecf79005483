using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>Reads the files of a journal, beside its writer and without holding it up.</summary>
internal sealed class JournalReader(SegmentList segments)
{
    // Runs in a row were wired alike: the last answer serves the next question. Replaced whole, so that any thread may ask.
    private volatile Wiring? _last;

    /// <summary>Entries from a number on, up to the newest at the time when it gets there.</summary>
    public IEnumerable<JournalEntry> ReadFrom(long sequence)
    {
        long wanted = Math.Max(1, sequence);
        while (segments.Find(wanted) is { } stretch)
        {
            if (stretch.Segment.FirstSequence > wanted)
            {
                yield return new DamagedEntries(wanted, stretch.Segment.FirstSequence - 1, default, "the file that held these entries is not here any more");
                wanted = stretch.Segment.FirstSequence;
                continue;
            }

            foreach (JournalEntry entry in Read(stretch, wanted))
            {
                yield return entry;
                wanted = (entry is MissingEntries missing ? missing.LastSequence : entry.Sequence) + 1;
            }

            if (stretch.FollowingSequence is { } following && wanted < following && segments.Contains(stretch.Segment))
            {
                yield return new DamagedEntries(wanted, following - 1, default,
                    $"{stretch.Segment.Name} ends before the next file begins, or a file between them is missing");
                wanted = following;
            }
        }
    }

    /// <summary>The newest snapshot that is not later than a time; null if there is none.</summary>
    public JournalSnapshot? LatestSnapshot(Timestamp notAfter)
    {
        foreach (Segment segment in segments.All().Reverse())
        {
            (long Sequence, Timestamp Time)[] snapshots = segments.SnapshotsOf(segment) ?? [.. Learn(segment)];
            foreach ((long sequence, _) in snapshots.Reverse().Where(snapshot => snapshot.Time <= notAfter))
            {
                // A damaged one is passed over: an older one only makes the replay longer.
                if (ReadFrom(sequence).FirstOrDefault() is SnapshotEntry found && found.Sequence == sequence)
                {
                    return new JournalSnapshot(sequence, found.Time, found.State);
                }
            }
        }

        return null;
    }

    /// <summary>The cell as it was wired when an entry was recorded; null if nobody can tell.</summary>
    public CellDefinition? DefinitionAt(long sequence)
    {
        Segment? segment = segments.Find(sequence)?.Segment ?? segments.All().LastOrDefault();
        if (segment?.Sealed is { } block)
        {
            SealedBlock said = block.Header.IsCell ? block : block.Cell ?? block;
            if (_last is not { } last || !ReferenceEquals(last.Said, said))
            {
                _last = last = new Wiring(said, block.ReadCell());
            }

            return last.Cell;
        }

        if (segment is not null && segment.HeaderLength is null && TryReadFile(segment, 0, segment.Length, out byte[] bytes, out _))
        {
            ReadHeader(segment, bytes);
        }

        return segment?.Cell;
    }

    private IEnumerable<JournalEntry> Read(SegmentList.Stretch stretch, long wanted)
    {
        Segment segment = stretch.Segment;
        if (segment.Sealed is { } block)
        {
            string? fault = SealedBlock.Removed;
            IEnumerable<JournalEntry>? entries = block.Header.IsRemoved ? null : block.ReadEntries(out fault);
            if (entries is null)
            {
                yield return fault == SealedBlock.Removed
                    ? new RemovedEntries(wanted, segment.LastSequence, block.Header.Earliest, fault)
                    : new DamagedEntries(wanted, segment.LastSequence, block.Header.Earliest, fault!);
                yield break;
            }

            foreach (JournalEntry entry in entries.Where(entry => entry.Sequence >= wanted))
            {
                yield return entry;
            }

            yield break;
        }

        if (!TryReadFile(segment, stretch.Offset, stretch.End, out byte[] bytes, out string problem))
        {
            if (!segments.Contains(segment))
            {
                yield break; // sealed while we looked: the next look finds the block
            }

            long last = (stretch.FollowingSequence ?? segment.LastSequence + 1) - 1;
            yield return new DamagedEntries(wanted, last, default, $"{segment.Name}: {problem}");
            yield break;
        }

        SegmentWalk walk = stretch.Offset > 0
            ? new SegmentWalk(bytes, 0, stretch.NextSequence, segment.Name, stretch.Offset)
            : new SegmentWalk(bytes, ReadHeader(segment, bytes), segment.FirstSequence, segment.Name);
        long next = wanted;
        while (walk.Next() is { } entry)
        {
            if (entry is DamagedEntries damage)
            {
                if (damage.LastSequence >= next)
                {
                    yield return damage with { Sequence = Math.Max(damage.Sequence, next) };
                    next = damage.LastSequence + 1;
                }
            }
            else if (entry.Sequence >= next)
            {
                yield return entry;
                next = entry.Sequence + 1;
            }
        }

        // Of the newest file nobody follows who would say that its end is missing.
        if (walk.EndIsDamaged && stretch.FollowingSequence is null && segment.LastSequence >= next)
        {
            yield return new DamagedEntries(next, segment.LastSequence, default, $"{segment.Name}: nothing can be read from byte {stretch.Offset + walk.Offset} on");
        }
    }

    private List<(long Sequence, Timestamp Time)> Learn(Segment segment)
    {
        List<(long Sequence, Timestamp Time)> snapshots = [];
        if (segment.Sealed is { } block)
        {
            if (block.Header.Snapshots > 0)
            {
                snapshots.AddRange((block.ReadEntries(out _) ?? []).OfType<SnapshotEntry>().Select(entry => (entry.Sequence, entry.Time)));
            }

            segments.Learn(segment, [], snapshots);
        }
        else if (TryReadFile(segment, 0, segment.Length, out byte[] bytes, out _))
        {
            var walk = new SegmentWalk(bytes, ReadHeader(segment, bytes), segment.FirstSequence, segment.Name);
            while (walk.Next() is { } entry)
            {
                if (entry is SnapshotEntry)
                {
                    snapshots.Add((entry.Sequence, entry.Time));
                }
            }

            segments.Learn(segment, walk.Marks, snapshots);
        }

        return snapshots;
    }

    private static int ReadHeader(Segment segment, ReadOnlySpan<byte> bytes)
    {
        if (segment.HeaderLength is not { } length)
        {
            SegmentHeader? header = SegmentHeader.TryRead(bytes, out _);
            segment.Cell = header?.Cell;
            segment.HeaderLength = length = header?.Length ?? 0;
        }

        return length;
    }

    private static bool TryReadFile(Segment segment, long offset, long end, out byte[] bytes, out string problem)
    {
        try
        {
            using var handle = File.OpenHandle(segment.Path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            long length = Math.Min(end, RandomAccess.GetLength(handle)) - offset;
            bytes = new byte[Math.Max(0, length)];
            int got = 0;
            for (int read = 1; got < bytes.Length && read > 0; got += read)
            {
                read = RandomAccess.Read(handle, bytes.AsSpan(got), offset + got);
            }

            problem = got == bytes.Length ? "" : "the file is shorter than it was";
            return got == bytes.Length;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            (bytes, problem) = ([], fault.Message);
            return false;
        }
    }

    private sealed record Wiring(SealedBlock Said, CellDefinition? Cell);
}
