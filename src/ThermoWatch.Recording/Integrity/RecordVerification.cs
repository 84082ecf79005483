using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Integrity;

/// <summary>Something that does not fit, and where.</summary>
/// <param name="File">Name of the file.</param>
/// <param name="Offset">Where in it, in bytes.</param>
/// <param name="What">What does not fit, in plain words.</param>
public sealed record Misfit(string File, long Offset, string What);

/// <summary>What recomputing a record found.</summary>
/// <param name="Misfits">What does not fit, first things first; empty if all does.</param>
/// <param name="Entries">Entries that were read.</param>
/// <param name="Bytes">Bytes that were read.</param>
/// <param name="LastSealed">Number of the last sealed entry; zero if none is.</param>
/// <param name="Head">Hash of the last sealed block, in hexadecimal: it stands for everything before it.</param>
public sealed record VerificationReport(IReadOnlyList<Misfit> Misfits, long Entries, long Bytes, long LastSealed, string Head)
{
    /// <summary>Whether everything fits.</summary>
    public bool IsWhole => Misfits.Count == 0;
}

/// <summary>Recomputes the record from its bytes: every checksum, the hash chain from its first block on, every entry.</summary>
public static class RecordVerification
{
    /// <summary>Recomputes one cell's journal and archive; also beside a running service.</summary>
    /// <param name="folder">As <see cref="DataFolder.JournalPath"/>.</param>
    /// <param name="progress">Told the bytes done so far and the bytes there are.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    public static VerificationReport OfJournal(string folder, IProgress<(long Done, long Total)>? progress = null, CancellationToken stop = default)
    {
        var check = new JournalCheck(folder, progress, stop);
        check.Run();
        return check.Report;
    }

    /// <summary>Recomputes a whole data folder: every cell's journal and archive, and the catalogue.</summary>
    /// <param name="data">The folder; nothing in it is changed.</param>
    /// <param name="progress">Told which part is at work, its bytes done so far and the bytes there are.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    /// <returns>For each part, named by its path in the folder, what was found.</returns>
    public static IReadOnlyList<(string Part, VerificationReport Report)> OfFolder(
        string data, IProgress<(string Part, long Done, long Total)>? progress = null, CancellationToken stop = default)
    {
        List<(string Part, VerificationReport Report)> parts = [];
        List<(int Cell, string Journal)> journals = [];
        foreach ((int cell, string journal) in DataFolder.Journals(data))
        {
            string part = Path.GetRelativePath(data, journal);
            parts.Add((part, OfJournal(journal, progress is null ? null : new Part(part, progress), stop)));
            journals.Add((cell, journal));
        }

        string chain = Path.Combine(data, ChainFile.FileName);
        if (File.Exists(chain))
        {
            parts.Add((ChainFile.FileName, ChainCheck.Of(chain, journals, progress is null ? null : new Part(ChainFile.FileName, progress), stop)));
        }

        string catalogue = Path.Combine(data, "thermowatch.sqlite");
        if (File.Exists(catalogue))
        {
            string[] found = [.. CatalogueCheck.Check(catalogue)];
            Misfit[] misfits = [.. (found.Length > 0 ? found : CatalogueCheck.CompareWithChain(catalogue)).Select(what => new Misfit(Path.GetFileName(catalogue), 0, what))];
            parts.Add((Path.GetFileName(catalogue), new VerificationReport(misfits, 0, new FileInfo(catalogue).Length, 0, "")));
        }

        return parts;
    }

    /// <summary>The hash of the block that ends with an entry, as it stands in the archive; null if there is none.</summary>
    internal static string? HashAt(string journal, long lastSequence)
    {
        foreach ((string path, _) in ArchiveIndex.Files(journal).TakeWhile(file => file.FirstSequence <= lastSequence).Reverse())
        {
            if (ArchiveIndex.Blocks(path, [], out _).Find(block => !block.Header.IsCell && block.Header.LastSequence == lastSequence) is { } block)
            {
                return Convert.ToHexStringLower(block.ReadHash());
            }
        }

        return null;
    }

    private sealed class Part(string name, IProgress<(string Part, long Done, long Total)> all) : IProgress<(long Done, long Total)>
    {
        public void Report((long Done, long Total) value) => all.Report((name, value.Done, value.Total));
    }

    /// <summary>One run through a folder.</summary>
    private sealed class JournalCheck(string folder, IProgress<(long Done, long Total)>? progress, CancellationToken stop)
    {
        private readonly List<Misfit> _misfits = [];
        private byte[]? _head;
        private long _entries, _done, _total, _next, _lastSealed;

        public VerificationReport Report => new(_misfits, _entries, _done, _lastSealed, Convert.ToHexStringLower(_head ?? new byte[BlockHeader.HashLength]));

        public void Run()
        {
            // The journal first: what is sealed while we look is then found in the archive, and nothing is missed.
            List<(string Path, byte[] Bytes)> journal = ReadJournal();
            List<(string Path, long FirstSequence)> archives = ArchiveIndex.Files(folder);
            _total = journal.Sum(file => (long)file.Bytes.Length) + archives.Sum(file => new FileInfo(file.Path).Length);
            foreach ((string path, _) in archives)
            {
                CheckArchive(path);
            }

            foreach ((string path, byte[] bytes) in journal)
            {
                CheckJournal(path, bytes);
            }
        }

        private List<(string Path, byte[] Bytes)> ReadJournal()
        {
            List<(string Path, byte[] Bytes)> files = [];
            foreach (string path in Directory.EnumerateFiles(folder, "*" + Segment.Extension).Order(StringComparer.Ordinal))
            {
                try
                {
                    files.Add((path, File.ReadAllBytes(path)));
                }
                catch (FileNotFoundException)
                {
                    // Sealed in between.
                }
            }

            return files;
        }

        private void CheckArchive(string path)
        {
            byte[] bytes = File.ReadAllBytes(path);
            string name = Path.GetFileName(path);
            ArchiveFileHeader? header = ArchiveFileHeader.TryRead(bytes.AsSpan(0, Math.Min(bytes.Length, ArchiveFileHeader.Length)), out string problem);
            if (header is null)
            {
                _misfits.Add(new Misfit(name, 0, problem));
            }
            else if (_head is not null && !header.PreviousHash.AsSpan().SequenceEqual(_head))
            {
                _misfits.Add(new Misfit(name, 28, "the file does not continue the chain of the one before it: one between them is missing, or one of the two was changed"));
            }

            byte[] head = header?.PreviousHash ?? _head ?? new byte[BlockHeader.HashLength];
            int at = ArchiveFileHeader.Length;
            while (at < bytes.Length)
            {
                stop.ThrowIfCancellationRequested();
                if (BlockHeader.TryRead(bytes.AsSpan(at)) is not { } block || block.BlockLength > bytes.Length - at)
                {
                    _misfits.Add(new Misfit(name, at, "this is no whole block"));
                    break;
                }

                ReadOnlySpan<byte> whole = bytes.AsSpan(at, block.BlockLength);
                CheckBlock(name, at, block, whole, head);
                head = block.RemovedHash ?? whole[^BlockHeader.HashLength..].ToArray();
                at += block.BlockLength;
                _done += block.BlockLength;
                progress?.Report((_done, _total));
            }

            _head = head;
        }

        private void CheckBlock(string name, long at, BlockHeader block, ReadOnlySpan<byte> whole, byte[] head)
        {
            if (block.IsRemoved)
            {
                CheckNext(name, at, block.FirstSequence);
                (_next, _lastSealed) = (block.LastSequence + 1, block.LastSequence);
                if (whole[BlockHeader.Length..].IndexOfAnyExcept((byte)0) >= 0)
                {
                    _misfits.Add(new Misfit(name, at, "behind the front of a block that was taken out there are bytes"));
                }

                return;
            }

            if (!block.Fits(whole))
            {
                _misfits.Add(new Misfit(name, at, $"the block of entries {block.FirstSequence} to {block.LastSequence} does not fit its checksum"));
                return;
            }

            if (!BlockCodec.HashOf(whole, head).AsSpan().SequenceEqual(whole[^BlockHeader.HashLength..]))
            {
                _misfits.Add(new Misfit(name, at, $"the block of entries {block.FirstSequence} to {block.LastSequence} does not fit the chain"));
            }

            if (block.IsCell)
            {
                if (BlockCodec.ReadCell(whole, block) is null)
                {
                    _misfits.Add(new Misfit(name, at, "the cell's definition cannot be read"));
                }

                return;
            }

            CheckNext(name, at, block.FirstSequence);
            if (BlockCodec.ReadEntries(whole, block) is null)
            {
                _misfits.Add(new Misfit(name, at, $"the block of entries {block.FirstSequence} to {block.LastSequence} cannot be understood"));
                return;
            }

            _entries += block.LastSequence - block.FirstSequence + 1;
            (_next, _lastSealed) = (block.LastSequence + 1, block.LastSequence);
        }

        private void CheckNext(string name, long at, long first)
        {
            if (_next > 0 && first != _next)
            {
                _misfits.Add(new Misfit(name, at, first > _next ? $"entries {_next} to {first - 1} are missing before it" : $"entries from {first} on were there before"));
            }
        }

        private void CheckJournal(string path, byte[] bytes)
        {
            string name = Path.GetFileName(path);
            if (!Segment.TryParseName(name, out long first) || first <= _lastSealed)
            {
                return; // sealed in between
            }

            SegmentHeader? header = SegmentHeader.TryRead(bytes, out string problem);
            if (header is null)
            {
                _misfits.Add(new Misfit(name, 0, problem));
            }

            CheckNext(name, 0, first);
            var walk = new SegmentWalk(bytes, header?.Length ?? 0, first, name);
            while (walk.Next() is { } entry)
            {
                stop.ThrowIfCancellationRequested();
                if (entry is DamagedEntries damage)
                {
                    _misfits.Add(new Misfit(name, walk.Offset, damage.Reason));
                }
                else
                {
                    _entries++;
                }
            }

            _misfits.AddRange(walk.DamagedMarks.Select(mark => new Misfit(name, mark, "a mark does not fit its checksum")));
            if (walk.EndIsDamaged)
            {
                _misfits.Add(new Misfit(name, walk.Offset, $"the last {bytes.Length - walk.Offset} bytes are no whole entry"));
            }

            _next = walk.NextSequence;
            _done += bytes.Length;
            progress?.Report((_done, _total));
        }
    }
}
