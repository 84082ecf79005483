using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Journal;

/// <summary>What a folder of journal files holds, found out when the journal is opened.</summary>
/// <param name="Segments">Its files in order.</param>
/// <param name="NextSequence">Number for the next entry.</param>
/// <param name="Continue">The file that may be written on; null if a new one is to be begun.</param>
/// <param name="Created">When that file was begun.</param>
/// <param name="Losses">What is missing or damaged.</param>
internal sealed record JournalOpening(
    SegmentList Segments, long NextSequence, Segment? Continue, Timestamp Created, IReadOnlyList<JournalLoss> Losses)
{
    /// <summary>Looks through a folder. Only the newest file is read whole: the others were closed in order.</summary>
    public static JournalOpening Of(string folder, CellDefinition cell)
    {
        Directory.CreateDirectory(folder);
        List<Segment> found = [];
        foreach (var file in new DirectoryInfo(folder).EnumerateFiles("*" + Segment.Extension))
        {
            if (Segment.TryParseName(file.Name, out long first))
            {
                found.Add(new Segment(file.FullName, first) { Length = file.Length });
            }
        }

        found.Sort((a, b) => a.FirstSequence.CompareTo(b.FirstSequence));
        var segments = new SegmentList();
        List<JournalLoss> losses = [];
        for (int i = 0; i + 1 < found.Count; i++)
        {
            found[i].LastSequence = found[i + 1].FirstSequence - 1;
            segments.Add(found[i]);
        }

        return found.Count == 0
            ? new JournalOpening(segments, 1, null, default, losses)
            : WithNewest(segments, found[^1], cell, losses);
    }

    private static JournalOpening WithNewest(SegmentList segments, Segment newest, CellDefinition cell, List<JournalLoss> losses)
    {
        if (TryReadAll(newest.Path) is not { } bytes)
        {
            // Its entries have numbers that nobody may use again; each takes at least a byte.
            long beyond = newest.FirstSequence + Math.Max(1, newest.Length);
            losses.Add(new JournalLoss(newest.Name, 0, newest.FirstSequence, null, "The file cannot be read. It is left as it is; recording goes on in a new file."));
            return new JournalOpening(segments, beyond, null, default, losses);
        }

        SegmentHeader? header = SegmentHeader.TryRead(bytes, out string problem);
        var walk = new SegmentWalk(bytes, header?.Length ?? 0, newest.FirstSequence, newest.Name);
        (newest.Snapshots, newest.HeaderLength, newest.Cell) = ([], header?.Length ?? 0, header?.Cell);
        while (walk.Next() is { } entry)
        {
            if (entry is DamagedEntries damage)
            {
                losses.Add(new JournalLoss(newest.Name, walk.Offset, damage.Sequence, damage.LastSequence, $"Damaged: {damage.Reason}."));
            }
            else if (entry is SnapshotEntry)
            {
                newest.Snapshots.Add((entry.Sequence, entry.Time));
            }
        }

        newest.Marks = walk.Marks;
        losses.AddRange(walk.DamagedMarks.Select(place => new JournalLoss(newest.Name, place, null, null, "Damaged: a mark between entries. No entry is missing.")));
        if (header is null && walk.Marks.Count == 0)
        {
            return WithoutNewest(segments, newest, bytes, problem, losses);
        }

        if (header is null)
        {
            losses.Add(new JournalLoss(newest.Name, 0, null, null, $"Damaged header: {problem}. Its entries are read from the first mark on."));
        }

        (newest.Length, newest.LastSequence) = (walk.Offset, walk.NextSequence - 1);
        if (walk.Offset < bytes.Length)
        {
            losses.Add(CutTail(newest, bytes.AsSpan(walk.Offset), walk));
        }

        // A process that was killed may have left writes that no flush has followed; from here on they count as flushed.
        _ = TryDo(() =>
        {
            using var handle = File.OpenHandle(newest.Path, FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite | FileShare.Delete);
            RandomAccess.FlushToDisk(handle);
        });
        segments.Add(newest);
        bool same = header is not null && SegmentHeader.ToJson(header.Cell).AsSpan().SequenceEqual(SegmentHeader.ToJson(cell));
        return new JournalOpening(segments, walk.NextSequence, same ? newest : null, header?.Created ?? default, losses);
    }

    /// <summary>A file in which nothing can be read is set aside under another name.</summary>
    private static JournalOpening WithoutNewest(SegmentList segments, Segment newest, byte[] bytes, string problem, List<JournalLoss> losses)
    {
        bool heldNothing = bytes.AsSpan().IndexOfAnyExcept((byte)0) < 0 || problem.Contains("cut short", StringComparison.Ordinal);
        string aside = newest.Path + ".damaged";
        _ = TryDo(() => File.Move(newest.Path, aside, overwrite: true));
        losses.Add(new JournalLoss(newest.Name, 0, heldNothing ? null : newest.FirstSequence, null,
            $"Nothing in it can be read: {problem}. It was set aside as {Path.GetFileName(aside)}."));
        return new JournalOpening(segments, heldNothing ? newest.FirstSequence : newest.FirstSequence + bytes.Length, null, default, losses);
    }

    /// <summary>Cuts off the bytes behind the last whole entry; whatever they were is kept beside the file.</summary>
    private static JournalLoss CutTail(Segment segment, ReadOnlySpan<byte> tail, SegmentWalk walk)
    {
        byte[] kept = tail.ToArray();
        bool zeros = tail.IndexOfAnyExcept((byte)0) < 0;
        bool saved = zeros || TryDo(() => File.WriteAllBytes($"{segment.Path}.cut-{walk.Offset}", kept));
        if (saved)
        {
            _ = TryDo(() =>
            {
                using var handle = File.OpenHandle(segment.Path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite | FileShare.Delete);
                RandomAccess.SetLength(handle, walk.Offset);
            });
        }

        return new JournalLoss(segment.Name, walk.Offset, walk.NextSequence, null,
            $"Torn end: the last {kept.Length} bytes are no whole entry and were cut off, as after a power cut in the middle of a write.");
    }

    private static byte[]? TryReadAll(string path)
    {
        byte[]? bytes = null;
        _ = TryDo(() => bytes = File.ReadAllBytes(path));
        return bytes;
    }

    private static bool TryDo(Action action)
    {
        try
        {
            action();
            return true;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }
}
