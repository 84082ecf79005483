using System.Runtime.CompilerServices;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;

namespace ThermoWatch.Recording.Journal;

/// <summary>Entries with the cell as it was wired when they were recorded, for whoever converts them beside the writer.</summary>
internal static class WiredEntries
{
    private static readonly ConditionalWeakTable<CellDefinition, byte[]> s_texts = [];

    /// <summary>As <see cref="CellJournal.ReadWiredFrom"/>.</summary>
    public static IEnumerable<(CellDefinition? Cell, JournalEntry Entry)> ReadFrom(SegmentList segments, JournalReader reader, long sequence, CellDefinition? known)
    {
        CellDefinition? cell = known;
        SealedBlock? said = null;
        Segment? piece = null;
        foreach (JournalEntry entry in reader.ReadFrom(sequence))
        {
            Segment? of = segments.Find(entry.Sequence)?.Segment;
            if (of != piece)
            {
                piece = of;
                SealedBlock? wiring = of?.Sealed?.Cell;
                if (wiring is null || wiring != said)
                {
                    said = wiring;
                    CellDefinition? found = reader.DefinitionAt(entry.Sequence);
                    // Another file with the same wiring is no other wiring: who converts goes on with what it knows.
                    cell = Same(cell, found) ? cell : found;
                }
            }

            yield return (cell, entry);
        }
    }

    private static bool Same(CellDefinition? one, CellDefinition? other) =>
        ReferenceEquals(one, other) || (one is not null && other is not null && Text(one).AsSpan().SequenceEqual(Text(other)));

    private static byte[] Text(CellDefinition cell) => s_texts.GetValue(cell, SegmentHeader.ToJson);

    /// <summary>As <see cref="CellJournal.SpanOf"/>.</summary>
    public static (long First, long Last) SpanOf(SegmentList segments, Timestamp from, Timestamp? to)
    {
        Segment[] pieces = segments.All();
        long first = Array.Find(pieces, piece => piece.Sealed is not { } block || block.Header.Latest >= from)?.FirstSequence ?? segments.LastSequence + 1;
        long last = to is { } until
            ? Array.FindLast(pieces, piece => piece.Sealed is not { } block || block.Header.Earliest <= until)?.LastSequence ?? 0
            : segments.LastSequence;
        return (first, last);
    }
}
