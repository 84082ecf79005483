using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>What a folder of journal files holds, found out when the journal is opened.</summary>
/// <param name="Segments">Its files in order.</param>
/// <param name="Archive">Its sealed blocks.</param>
/// <param name="NextSequence">Number for the next entry.</param>
/// <param name="Continue">The file that may be written on; null if a new one is to be begun.</param>
/// <param name="Created">When that file was begun.</param>
/// <param name="Losses">What is missing or damaged.</param>
internal sealed record JournalOpening(
    SegmentList Segments, CellArchive Archive, long NextSequence, Segment? Continue, Timestamp Created, IReadOnlyList<JournalLoss> Losses)
{
    /// <summary>Looks through a folder. Of the journal files only the newest is read whole: the others were closed in order.</summary>
    public static JournalOpening Of(string folder, CellDefinition cell, JournalOptions options, IJournalDisk disk)
    {
        Directory.CreateDirectory(folder);
        List<JournalLoss> losses = [];
        var archive = CellArchive.Open(folder, cell.Number, options, disk, losses);
        List<Segment> files = JournalFiles(folder);
        DropSealed(files, archive);
        List<Segment> pieces = [.. files, .. archive.Blocks.Select(JournalSealer.AsSegment)];
        pieces.Sort((a, b) => a.FirstSequence.CompareTo(b.FirstSequence));
        var segments = new SegmentList();
        for (int i = 0; i < pieces.Count; i++)
        {
            bool isNewest = i == pieces.Count - 1;
            if (isNewest && pieces[i].Sealed is null)
            {
                return WithNewest(segments, archive, pieces[i], cell, disk, losses);
            }

            if (pieces[i].Sealed is null)
            {
                pieces[i].LastSequence = pieces[i + 1].FirstSequence - 1;
            }

            segments.Add(pieces[i]);
        }

        return new JournalOpening(segments, archive, archive.LastSequence + 1, null, default, losses);
    }

    private static List<Segment> JournalFiles(string folder)
    {
        List<Segment> files = [];
        foreach (FileInfo file in new DirectoryInfo(folder).EnumerateFiles("*" + Segment.Extension))
        {
            if (Segment.TryParseName(file.Name, out long first))
            {
                files.Add(new Segment(file.FullName, first) { Length = file.Length });
            }
        }

        files.Sort((a, b) => a.FirstSequence.CompareTo(b.FirstSequence));
        return files;
    }

    /// <summary>After a power cut in the middle of sealing, entries may stand in both places: the one that is whole stays.</summary>
    private static void DropSealed(List<Segment> files, CellArchive archive)
    {
        for (int i = 0; i < files.Count && files[i].FirstSequence <= archive.LastSequence;)
        {
            Segment file = files[i];
            List<SealedBlock> blocks = archive.Blocks.FindAll(block => block.Header.LastSequence >= file.FirstSequence);
            if (blocks[0].Header.FirstSequence > file.FirstSequence)
            {
                i++; // it was damaged, and others after it were sealed: it stands alone
                continue;
            }

            long last = i + 1 < files.Count ? files[i + 1].FirstSequence - 1 : LastSequenceOf(file);
            if (last <= archive.LastSequence && blocks.TrueForAll(block => block.Header.FirstSequence > last || block.Header.IsRemoved || block.ReadBytes(out _) is not null))
            {
                _ = TryDo(() => File.Delete(file.Path));
                files.RemoveAt(i);
            }
            else
            {
                archive.CutFrom(file.FirstSequence);
            }
        }
    }

    private static long LastSequenceOf(Segment file)
    {
        if (TryReadAll(file.Path) is not { } bytes)
        {
            return long.MaxValue;
        }

        var walk = new SegmentWalk(bytes, SegmentHeader.TryRead(bytes, out _)?.Length ?? 0, file.FirstSequence, file.Name);
        while (walk.Next() is not null)
        {
            // Only the number behind the last entry is wanted.
        }

        return walk.NextSequence - 1;
    }

    private static JournalOpening WithNewest(SegmentList segments, CellArchive archive, Segment newest, CellDefinition cell, IJournalDisk disk, List<JournalLoss> losses)
    {
        if (TryReadAll(newest.Path) is not { } bytes)
        {
            // Its entries have numbers that nobody may use again; each takes at least a byte.
            long beyond = newest.FirstSequence + Math.Max(1, newest.Length);
            losses.Add(new JournalLoss(newest.Name, 0, newest.FirstSequence, null, "The file cannot be read. It is left as it is; recording goes on in a new file."));
            return new JournalOpening(segments, archive, beyond, null, default, losses);
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
            return WithoutNewest(segments, archive, newest, bytes, problem, losses);
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
            using IJournalFile file = disk.Open(newest.Path);
            file.Flush();
        });
        segments.Add(newest);
        bool same = header is not null && SegmentHeader.ToJson(header.Cell).AsSpan().SequenceEqual(SegmentHeader.ToJson(cell));
        return new JournalOpening(segments, archive, walk.NextSequence, same ? newest : null, header?.Created ?? default, losses);
    }

    /// <summary>A file in which nothing can be read is set aside under another name.</summary>
    private static JournalOpening WithoutNewest(SegmentList segments, CellArchive archive, Segment newest, byte[] bytes, string problem, List<JournalLoss> losses)
    {
        bool heldNothing = bytes.AsSpan().IndexOfAnyExcept((byte)0) < 0 || problem.Contains("cut short", StringComparison.Ordinal);
        string aside = newest.Path + ".damaged";
        _ = TryDo(() => File.Move(newest.Path, aside, overwrite: true));
        losses.Add(new JournalLoss(newest.Name, 0, heldNothing ? null : newest.FirstSequence, null,
            $"Nothing in it can be read: {problem}. It was set aside as {Path.GetFileName(aside)}."));
        return new JournalOpening(segments, archive, heldNothing ? newest.FirstSequence : newest.FirstSequence + bytes.Length, null, default, losses);
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
