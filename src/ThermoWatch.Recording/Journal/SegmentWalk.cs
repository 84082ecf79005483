using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>Goes through the bytes of one journal file entry by entry, and over damage to the next place it can trust.</summary>
/// <param name="bytes">The file's bytes, or a stretch of it that begins at the header's end or at a mark.</param>
/// <param name="start">Where in <paramref name="bytes"/> the first frame begins.</param>
/// <param name="firstSequence">Number of the entry there.</param>
/// <param name="fileName">Named where something is wrong.</param>
/// <param name="fileOffset">Where <paramref name="bytes"/> begin in the file.</param>
internal sealed class SegmentWalk(ReadOnlyMemory<byte> bytes, int start, long firstSequence, string fileName, long fileOffset = 0)
{
    private readonly EntryCodec _codec = new();
    private Timestamp _lastTime;

    /// <summary>Behind the last frame that could be trusted, in the bytes given.</summary>
    public int Offset { get; private set; } = start;

    /// <summary>Number of the entry that comes next.</summary>
    public long NextSequence { get; private set; } = firstSequence;

    /// <summary>Marks gone past: the number of the entry after it and its place in the file.</summary>
    public List<(long NextSequence, long FileOffset)> Marks { get; } = [];

    /// <summary>Places of marks that are damaged; no entry is lost with them.</summary>
    public List<long> DamagedMarks { get; } = [];

    /// <summary>Whether bytes are left that nothing can be made of: a torn end, or damage up to the end.</summary>
    public bool EndIsDamaged { get; private set; }

    /// <summary>The next entry, or a <see cref="DamagedEntries"/>; null at the end.</summary>
    public JournalEntry? Next()
    {
        if (!TryStep(out ReadOnlySpan<byte> content, out long frameAt, out DamagedEntries? damage))
        {
            return null;
        }

        JournalEntry entry = damage ?? _codec.Read(content, NextSequence - 1) ?? NotUnderstood(frameAt);
        _lastTime = entry is DamagedEntries ? _lastTime : entry.Time;
        return entry;
    }

    /// <summary>Lays the next entry out for sealing.</summary>
    /// <returns>False at the end, and at anything that is damaged: <see cref="IsWhole"/> says which.</returns>
    public bool TryNextInto(BlockContents contents)
    {
        if (!TryStep(out ReadOnlySpan<byte> content, out _, out DamagedEntries? damage))
        {
            return false;
        }

        IsWhole &= damage is null && _codec.TryReadInto(contents, content, NextSequence - 1);
        return IsWhole;
    }

    /// <summary>Whether nothing that <see cref="TryNextInto"/> has met was damaged.</summary>
    public bool IsWhole { get; private set; } = true;

    private DamagedEntries NotUnderstood(long frameAt) => new(NextSequence - 1, NextSequence - 1, _lastTime,
        $"{fileName}: the entry at byte {frameAt} cannot be read, or leans on one that cannot");

    /// <summary>Goes past the next entry, or past damage; false at the end.</summary>
    private bool TryStep(out ReadOnlySpan<byte> content, out long frameAt, out DamagedEntries? damage)
    {
        content = default;
        (frameAt, damage) = (0, null);
        while (Offset < bytes.Length)
        {
            ReadOnlySpan<byte> rest = bytes.Span[Offset..];
            frameAt = fileOffset + Offset;
            if (!Frame.TryRead(rest, NextSequence, out int contentStart, out int contentLength))
            {
                long from = NextSequence;
                if (!TrySkipDamage(rest))
                {
                    EndIsDamaged = true;
                    return false;
                }

                _codec.Forget();
                if (NextSequence > from)
                {
                    damage = new DamagedEntries(from, NextSequence - 1, _lastTime, $"{fileName}: bytes from {frameAt} on do not fit their checksum");
                    return true;
                }

                DamagedMarks.Add(frameAt);
                continue;
            }

            content = rest.Slice(contentStart, contentLength);
            Offset += contentStart + contentLength;
            if (EntryCodec.IsMark(content, out _))
            {
                _codec.Forget();
                Marks.Add((NextSequence, frameAt));
                continue;
            }

            NextSequence++;
            return true;
        }

        return false;
    }

    /// <summary>Finds the next frame that can be trusted: right behind this one if its length is right, else at the next mark.</summary>
    private bool TrySkipDamage(ReadOnlySpan<byte> rest)
    {
        if (Frame.TryMeasure(rest, out int contentStart, out int contentLength))
        {
            int behind = contentStart + contentLength;
            for (int lost = 1; lost >= 0; lost--) // a damaged entry, or a damaged mark, which has no number
            {
                if (Frame.TryRead(rest[behind..], NextSequence + lost, out _, out _))
                {
                    Offset += behind;
                    NextSequence += lost;
                    return true;
                }
            }
        }

        const int BeforeMagic = 6; // length, checksum and kind of a mark
        for (int from = 1; from < rest.Length;)
        {
            int magic = rest[from..].IndexOf(EntryCodec.MarkMagic);
            if (magic < 0)
            {
                return false;
            }

            int frame = from + magic - BeforeMagic;
            if (frame > 0 && IsMarkAt(rest[frame..], out long next) && next >= NextSequence)
            {
                Offset += frame;
                NextSequence = next;
                return true;
            }

            from += magic + 1;
        }

        return false;
    }

    private static bool IsMarkAt(ReadOnlySpan<byte> frame, out long next)
    {
        next = 0;
        return Frame.TryMeasure(frame, out int start, out int length)
            && EntryCodec.IsMark(frame.Slice(start, length), out next)
            && Frame.TryRead(frame, next, out _, out _);
    }
}
