using System.Text.Json;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Integrity;

/// <summary>Where a record stood at a moment. Whoever keeps it can tell later that nothing up to there was changed, whoever holds the record.</summary>
/// <param name="Format">1.</param>
/// <param name="Time">When it was written, RFC 3339 in UTC.</param>
/// <param name="Cells">For each cell its last sealed entry and the hash that stands for everything up to it.</param>
/// <param name="Events">The last line of the chain of events and its hash.</param>
/// <param name="PublicKey">The key it is signed with, SubjectPublicKeyInfo as PEM.</param>
public sealed record ChainHeads(int Format, string Time, IReadOnlyList<SealedUpTo> Cells, ChainHead Events, string PublicKey)
{
    /// <summary>What is added to the file's name for its signature.</summary>
    public const string SignatureEnding = ".sig";

    private static readonly JsonSerializerOptions Json = new(RecordJson.Options) { WriteIndented = true };

    /// <summary>Writes where a record stands now, and the signature beside it.</summary>
    /// <param name="data">The data folder; a service may be running.</param>
    /// <param name="path">The file.</param>
    /// <param name="key">The node's key.</param>
    /// <param name="now">The time that stands in it.</param>
    /// <exception cref="IOException">It cannot be written, or the record cannot be read.</exception>
    public static ChainHeads Write(string data, string path, NodeKey key, Timestamp now)
    {
        List<SealedUpTo> cells = [];
        foreach ((int cell, string journal) in DataFolder.Journals(data))
        {
            SealedBlock? last = null;
            foreach ((string file, _) in ArchiveIndex.Files(journal))
            {
                last = ArchiveIndex.Blocks(file, [], out _).LastOrDefault(block => !block.Header.IsCell) ?? last;
            }

            if (last is not null)
            {
                cells.Add(new SealedUpTo(cell, last.Header.LastSequence, Convert.ToHexStringLower(last.ReadHash())));
            }
        }

        string chain = Path.Combine(data, ChainFile.FileName);
        ChainHead events = new(0, ChainLine.NoHash);
        if (File.Exists(chain))
        {
            foreach ((_, ChainLine? line, _) in ChainFile.Read(chain, 0))
            {
                events = line is null ? events : new ChainHead(line.Number, line.Hash);
            }
        }

        var heads = new ChainHeads(1, now.ToString(), cells, events, key.PublicKey);
        byte[] bytes = [.. JsonSerializer.SerializeToUtf8Bytes(heads, Json), (byte)'\n'];
        File.WriteAllBytes(path, bytes);
        File.WriteAllBytes(path + SignatureEnding, key.Sign(bytes));
        return heads;
    }

    /// <summary>Holds a record against heads that were kept.</summary>
    /// <param name="data">The data folder.</param>
    /// <param name="path">The heads; their signature lies beside them.</param>
    /// <param name="publicKey">The key that the reader trusts, as PEM; null: the one in the heads, which then says only that they are whole.</param>
    /// <exception cref="IOException">Something cannot be read.</exception>
    public static IReadOnlyList<Misfit> Check(string data, string path, string? publicKey)
    {
        string name = Path.GetFileName(path);
        byte[] bytes = File.ReadAllBytes(path);
        ChainHeads? heads = TryRead(bytes);
        if (heads is null)
        {
            return [new Misfit(name, 0, "these are no chain heads of a known format")];
        }

        if (!NodeKey.IsSigned(bytes, File.ReadAllBytes(path + SignatureEnding), publicKey ?? heads.PublicKey))
        {
            return [new Misfit(name, 0, "the signature is not of this file and this key")];
        }

        List<Misfit> misfits = [];
        Dictionary<int, string> journals = DataFolder.Journals(data).ToDictionary();
        foreach (SealedUpTo head in heads.Cells)
        {
            if (!journals.TryGetValue(head.Cell, out string? journal) || RecordVerification.HashAt(journal, head.LastSequence) is not { } hash)
            {
                misfits.Add(new Misfit($"cells/{head.Cell}", 0, $"entry {head.LastSequence}, which was sealed at {heads.Time}, is not sealed here"));
            }
            else if (hash != head.Hash)
            {
                misfits.Add(new Misfit($"cells/{head.Cell}", 0, $"what was recorded up to entry {head.LastSequence} is not what it was at {heads.Time}"));
            }
        }

        string chain = Path.Combine(data, ChainFile.FileName);
        bool stands = heads.Events.Number == 0
            || (File.Exists(chain) && ChainFile.Read(chain, 0).Any(found => found.Line is { } line && line.Number == heads.Events.Number && line.Hash == heads.Events.Hash));
        if (!stands)
        {
            misfits.Add(new Misfit(ChainFile.FileName, 0, $"line {heads.Events.Number} is not the one that stood there at {heads.Time}"));
        }

        return misfits;
    }

    private static ChainHeads? TryRead(byte[] bytes)
    {
        try
        {
            return JsonSerializer.Deserialize<ChainHeads>(bytes, Json) is { Format: 1, Cells: not null, Events: not null, PublicKey: not null } heads ? heads : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }
}

/// <summary>The last line of the chain of events.</summary>
/// <param name="Number">Its number; zero if there is none.</param>
/// <param name="Hash">Its hash, in hexadecimal.</param>
public sealed record ChainHead(long Number, string Hash);
