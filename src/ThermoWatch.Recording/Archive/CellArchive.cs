using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>The sealed blocks of one cell, each chained to the one before it by its hash.</summary>
internal sealed class CellArchive
{
    private const int EntriesPerDevice = 4096;

    private readonly string _folder;
    private readonly int _cellNumber;
    private readonly JournalOptions _options;
    private readonly IJournalDisk _disk;
    private readonly BlockCodec _codec = new();
    private readonly BlockContents _contents = new();
    private readonly ByteSink _sink = new();
    private string? _path;
    private bool _isOld; // of an earlier version: a new file begins
    private long _length;
    private byte[] _head = new byte[BlockHeader.HashLength];
    private SealedBlock? _cell;
    private (SealedBlock? Block, byte[] Json) _said = (null, []);

    private CellArchive(string folder, int cellNumber, JournalOptions options, IJournalDisk disk) =>
        (_folder, _cellNumber, _options, _disk) = (folder, cellNumber, options, disk);

    /// <summary>Blocks of entries found when the archive was opened, in order.</summary>
    public List<SealedBlock> Blocks { get; } = [];

    /// <summary>Number of the last entry that is sealed; zero if none is.</summary>
    public long LastSequence { get; private set; }

    /// <summary>Up to where it goes, and the hash that stands for all of it.</summary>
    public JournalSeal Seal => new(LastSequence, Convert.ToHexStringLower(_head));

    /// <summary>Finds the blocks of a folder. A torn end, from a power cut while sealing, is cut off: the journal still has its entries.</summary>
    public static CellArchive Open(string folder, int cellNumber, JournalOptions options, IJournalDisk disk, List<JournalLoss> losses)
    {
        var archive = new CellArchive(folder, cellNumber, options, disk);
        foreach ((string path, _) in ArchiveIndex.Files(folder))
        {
            try
            {
                archive.Add(path, losses);
            }
            catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
            {
                losses.Add(new JournalLoss(Path.GetFileName(path), 0, null, null, $"The archive file cannot be read: {fault.Message}"));
                archive._path = null;
            }
        }

        archive.LastSequence = archive.Blocks is [.., var last] ? last.Header.LastSequence : 0;
        return archive;
    }

    private void Add(string path, List<JournalLoss> losses)
    {
        List<SealedBlock> blocks = ArchiveIndex.Blocks(path, losses, out long end);
        Blocks.AddRange(blocks.Where(block => !block.Header.IsCell));
        (_path, _isOld, _length, _cell) = (path, IsOld(path), end, blocks.LastOrDefault(block => block.Header.IsCell));
        if (blocks.Count > 0)
        {
            _head = HashAt(path, end);
        }

        byte[] torn = ArchiveIndex.Tail(path, end);
        if (blocks.Count == 0 && end > new FileInfo(path).Length)
        {
            File.Delete(path); // not even its header was finished
            _path = null;
        }
        else if (torn.Length > 0)
        {
            losses.Add(new JournalLoss(Path.GetFileName(path), end, null, null, $"Torn end: the last {torn.Length} bytes are no whole block and were cut off."));
            if (torn.AsSpan().IndexOfAnyExcept((byte)0) >= 0)
            {
                File.WriteAllBytes($"{path}.cut-{end}", torn);
            }

            using var handle = File.OpenHandle(path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite | FileShare.Delete);
            RandomAccess.SetLength(handle, end);
        }
    }

    /// <summary>Forgets the blocks from an entry on, which were half sealed when the power went; the journal still has their entries.</summary>
    public void CutFrom(long sequence)
    {
        int first = Blocks.FindIndex(block => block.Header.FirstSequence >= sequence);
        if (first < 0)
        {
            return;
        }

        SealedBlock block = Blocks[first];
        using (var handle = File.OpenHandle(block.Path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite | FileShare.Delete))
        {
            RandomAccess.SetLength(handle, block.Offset);
        }

        foreach (string later in Blocks.Skip(first).Select(cut => cut.Path).Distinct().Where(path => path != block.Path))
        {
            File.Delete(later);
        }

        Blocks.RemoveRange(first, Blocks.Count - first);
        LastSequence = Blocks is [.., var last] ? last.Header.LastSequence : 0;
        List<SealedBlock> left = ArchiveIndex.Blocks(block.Path, [], out long end);
        (_path, _isOld, _length, _cell) = (block.Path, IsOld(block.Path), end, left.LastOrDefault(found => found.Header.IsCell));
        _head = left.Count > 0 ? HashAt(block.Path, end)
            : ArchiveFileHeader.TryRead(File.ReadAllBytes(block.Path).AsSpan(0, ArchiveFileHeader.Length), out _)?.PreviousHash ?? new byte[BlockHeader.HashLength];
    }

    /// <summary>Seals the entries of one journal file: all of them, durably, or nothing.</summary>
    /// <param name="walk">The entries in order.</param>
    /// <param name="lastSequence">Number of the last one that there must be.</param>
    /// <param name="file">Front of the journal file: it says how the cell was wired.</param>
    /// <param name="now">Stamps a new archive file.</param>
    /// <returns>
    /// The new blocks; null if some entries are damaged or missing, or if reading the blocks back did not give the same entries.
    /// Then nothing is sealed, and they stay where they are.
    /// </returns>
    /// <exception cref="IOException">The disk refuses; nothing is sealed.</exception>
    public List<SealedBlock>? Append(SegmentWalk walk, long lastSequence, SegmentHeader file, Timestamp now)
    {
        _sink.Clear();
        byte[] cell = file.Json;
        int most = _options.BlockEntries ?? Math.Clamp(EntriesPerDevice * file.Cell.Devices.Count, EntriesPerDevice, BlockCodec.MostEntries);
        string? path = _path;
        long start = _length;
        byte[] head = _head;
        SealedBlock? cellBlock = _cell;
        List<SealedBlock> blocks = [];
        while (TryFill(walk, most))
        {
            long first = _contents.FirstSequence;
            if (path is null || (blocks.Count == 0 && (start >= _options.ArchiveBytes || _isOld)))
            {
                path = Path.Combine(_folder, Path.ChangeExtension(Segment.NameFor(first), ArchiveFileHeader.Extension));
                (start, cellBlock) = (0, null);
                new ArchiveFileHeader(_cellNumber, first, now, head).Write(_sink);
            }

            if (blocks.Count == 0 && !SaysOfCell(cellBlock, cell))
            {
                long at = start + _sink.Length;
                head = BlockCodec.WriteCell(_sink, cell, first, head);
                cellBlock = new SealedBlock(path, at, BlockHeader.TryRead(_sink.Written[(int)(at - start)..])!, null);
            }

            long offset = start + _sink.Length;
            head = _codec.Write(_sink, _contents, head);
            ReadOnlySpan<byte> bytes = _sink.Written[(int)(offset - start)..];
            BlockHeader header = BlockHeader.TryRead(bytes)!;
            if (!_codec.Holds(bytes, header, _contents))
            {
                return null;
            }

            blocks.Add(new SealedBlock(path, offset, header, cellBlock));
        }

        if (!walk.IsWhole || path is null || blocks.Count == 0 || blocks[^1].Header.LastSequence != lastSequence)
        {
            return null;
        }

        using (IJournalFile archive = _disk.Open(path))
        {
            try
            {
                archive.Write(_sink.Written, start);
                archive.Flush();
            }
            catch (IOException)
            {
                archive.CutTo(start); // half a block helps nobody, and on a full disk its bytes do
                throw;
            }
        }

        if (start == 0)
        {
            _disk.SyncFolder(_folder); // a new name
        }

        (_path, _isOld, _length, _head, _cell, LastSequence) = (path, _isOld && start > 0, start + _sink.Length, head, cellBlock, blocks[^1].Header.LastSequence);
        return blocks;
    }

    /// <summary>Lays out the entries of the next block; false if there are none left, or one of them is damaged.</summary>
    private bool TryFill(SegmentWalk walk, int most)
    {
        _contents.Clear(walk.NextSequence);
        while (_contents.Count < most && walk.TryNextInto(_contents))
        {
            // Each call adds one.
        }

        _contents.Close();
        return walk.IsWhole && _contents.Count > 0;
    }

    /// <summary>Whether the block says this of the cell. Asked at the end of every run, so what it says is kept.</summary>
    private bool SaysOfCell(SealedBlock? block, byte[] json)
    {
        if (block is null)
        {
            return false;
        }

        if (_said.Block != block)
        {
            _said = (block, block.ReadCellJson() ?? []);
        }

        return _said.Json.AsSpan().SequenceEqual(json);
    }

    /// <summary>Takes a block out: its front stays, for the chain and for saying what is missing; the rest of its bytes goes back to the disk.</summary>
    /// <exception cref="IOException">The disk refuses.</exception>
    public static SealedBlock Remove(SealedBlock block, IJournalDisk disk)
    {
        byte[] hash = block.ReadHash();
        if (hash.Length == 0)
        {
            throw new IOException($"{Path.GetFileName(block.Path)}: the block at byte {block.Offset} cannot be read.");
        }

        var front = new ByteSink();
        block.Header.WriteRemoved(front, hash);
        using IJournalFile file = disk.Open(block.Path);
        file.Write(front.Written, block.Offset);
        file.Flush(); // before its bytes go: a front that says so and bytes that are still there do no harm, the other way round would
        file.GiveBack(block.Offset + BlockHeader.Length, block.Header.BlockLength - BlockHeader.Length);
        file.Flush();
        return block with { Header = BlockHeader.TryRead(front.Written)! };
    }

    private static bool IsOld(string path)
    {
        var front = new byte[ArchiveFileHeader.Length];
        using var handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        int got = RandomAccess.Read(handle, front, 0);
        return ArchiveFileHeader.TryRead(front.AsSpan(0, got), out _) is not { Version: ArchiveFileHeader.Newest };
    }

    private static byte[] HashAt(string path, long end)
    {
        var hash = new byte[BlockHeader.HashLength];
        using var handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        RandomAccess.Read(handle, hash, end - hash.Length);
        return hash;
    }
}
