using System.Text.Json;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Integrity;

/// <summary>Recomputes the chain of events, and holds the archives against what it says of them.</summary>
internal static class ChainCheck
{
    public static VerificationReport Of(string path, IReadOnlyList<(int Cell, string Journal)> journals, IProgress<(long Done, long Total)>? progress, CancellationToken stop)
    {
        List<Misfit> misfits = [];
        Dictionary<int, SealedUpTo> seals = [];
        List<RemovedEntriesNote> removals = [];
        string head = ChainLine.NoHash;
        long number = 0, at = 0, total = new FileInfo(path).Length;
        foreach ((ReadOnlyMemory<byte> bytes, ChainLine? line, long end) in ChainFile.Read(path, 0))
        {
            stop.ThrowIfCancellationRequested();
            number++;
            bool fits = ChainLine.Fits(bytes.Span, head, out string hash);
            if (!fits || line is null || line.Number != number || end - at != bytes.Length + 1)
            {
                misfits.Add(new Misfit(ChainFile.FileName, at, $"line {number} does not fit the chain"));
            }

            // Behind a misfit the chain goes on from what the line says of itself, so that each is named once.
            head = fits ? hash : line?.Hash ?? head;
            number = line is not null && line.Number > number ? line.Number : number;
            if (line?.Kind == ChainKinds.Sealed && Body<SealedUpTo>(line) is { } seal)
            {
                seals[seal.Cell] = seal;
            }
            else if (line?.Kind == ChainKinds.Removed && Body<RemovedEntriesNote>(line) is { } note)
            {
                removals.Add(note);
            }

            at = end;
            progress?.Report((at, total));
        }

        foreach ((int cell, string folder) in journals)
        {
            IEnumerable<BlockHeader> gone = ArchiveIndex.Files(folder).SelectMany(file => ArchiveIndex.Blocks(file.Path, [], out _)).Select(block => block.Header).Where(header => header.IsRemoved);
            foreach (BlockHeader header in gone.Where(header => !removals.Exists(note => note.Cell == cell && note.FirstSequence <= header.FirstSequence && note.LastSequence >= header.LastSequence)))
            {
                misfits.Add(new Misfit($"cells/{cell}", 0, $"entries {header.FirstSequence} to {header.LastSequence} were taken out, and the chain of events does not say so"));
            }
        }

        foreach (SealedUpTo seal in seals.Values)
        {
            string? found = journals.FirstOrDefault(journal => journal.Cell == seal.Cell).Journal is { } journal ? RecordVerification.HashAt(journal, seal.LastSequence) : null;
            if (found != seal.Hash)
            {
                misfits.Add(new Misfit($"cells/{seal.Cell}", 0, found is null
                    ? $"entry {seal.LastSequence} was sealed and is not there: the end of the archive is missing"
                    : $"what is sealed up to entry {seal.LastSequence} is not what the chain of events says"));
            }
        }

        return new VerificationReport(misfits, number, total, 0, head);
    }

    private static T? Body<T>(ChainLine line)
        where T : class
    {
        try
        {
            return JsonSerializer.Deserialize<T>(line.Body, RecordJson.Options);
        }
        catch (JsonException)
        {
            return null;
        }
    }
}
