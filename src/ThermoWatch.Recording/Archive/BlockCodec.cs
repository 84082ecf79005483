using System.Buffers.Binary;
using System.IO.Compression;
using System.Security.Cryptography;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>A stretch of the journal to one sealed block and back, bit for bit. FORMAT.md draws the bytes.</summary>
internal sealed class BlockCodec
{
    /// <summary>Most entries of one block.</summary>
    public const int MostEntries = 1 << 16;

    /// <summary>Most bytes of one block.</summary>
    public const int MostBytes = 1 << 30;

    private const byte OtherSource = 0;
    private const int MostSources = 254;

    private readonly ScanColumnsCodec _scans = new();
    private readonly EntryCodec _entries = new();
    private readonly ByteSink _others = new(), _columns = new(), _overview = new(), _content = new();

    /// <summary>Appends a block that holds the entries; they follow one another without a hole.</summary>
    /// <param name="sink">Where to.</param>
    /// <param name="entries">The entries, 1 to <see cref="MostEntries"/>.</param>
    /// <param name="previousHash">Hash of the block before it.</param>
    /// <returns>The block's own hash.</returns>
    public byte[] Write(ByteSink sink, IReadOnlyList<JournalEntry> entries, ReadOnlySpan<byte> previousHash)
    {
        _others.Clear();
        _columns.Clear();
        _overview.Clear();
        var order = new byte[entries.Count];
        Dictionary<(int Device, int Points), (byte Source, List<RawScan> Scans)> sources = [];
        long earliest = long.MaxValue, latest = long.MinValue;
        int snapshots = 0;
        for (int i = 0; i < entries.Count; i++)
        {
            JournalEntry entry = entries[i];
            (earliest, latest) = (Math.Min(earliest, entry.Time.UtcTicks), Math.Max(latest, entry.Time.UtcTicks));
            order[i] = OtherSource;
            if (entry is InputEntry { Input: ScanInput { Scan: var scan } })
            {
                var key = (scan.DeviceIndex, scan.Values.Length);
                if (sources.TryGetValue(key, out var source) || sources.Count < MostSources)
                {
                    source.Scans ??= [];
                    source = (source.Source == 0 ? (byte)(sources.Count + 1) : source.Source, source.Scans);
                    source.Scans.Add(scan);
                    sources[key] = source;
                    order[i] = source.Source;
                    continue;
                }
            }

            snapshots += entry is SnapshotEntry ? 1 : 0;
            WriteOther(entry);
        }

        foreach ((_, List<RawScan> scans) in sources.Values.OrderBy(source => source.Source))
        {
            _scans.Write(_columns, _overview, scans);
        }

        byte[] packedOrder = Pack(order), packedOthers = Pack(_others.Written);
        var header = new BlockHeader
        {
            FirstSequence = entries[0].Sequence,
            LastSequence = entries[^1].Sequence,
            Earliest = new Timestamp(earliest),
            Latest = new Timestamp(latest),
            Snapshots = snapshots,
            Sources = sources.Count,
            OverviewLength = _overview.Length,
            OverviewChecksum = Crc32C.Of(_overview.Written),
            OrderLength = packedOrder.Length,
            OthersLength = packedOthers.Length,
            ColumnsLength = _columns.Length,
        };
        return Finish(sink, header, previousHash, _overview.Written, packedOrder, packedOthers, _columns.Written);
    }

    /// <summary>Appends a block that says how the cell is wired from the next entry on.</summary>
    public static byte[] WriteCell(ByteSink sink, CellDefinition cell, long nextSequence, ReadOnlySpan<byte> previousHash)
    {
        byte[] json = Pack(SegmentHeader.ToJson(cell));
        var header = new BlockHeader { FirstSequence = nextSequence, LastSequence = nextSequence - 1, Sources = 0, CellLength = json.Length };
        return Finish(sink, header, previousHash, json, [], [], []);
    }

    /// <summary>The entries of a block whose bytes have been checked; null if they cannot be understood all the same.</summary>
    public static List<JournalEntry>? ReadEntries(ReadOnlySpan<byte> block, BlockHeader header)
    {
        ScanColumns[]? sources = ReadColumns(block, header);
        byte[]? order = Unpack(block.Slice(header.OrderAt, header.OrderLength));
        byte[]? others = Unpack(block.Slice(header.OthersAt, header.OthersLength));
        if (sources is null || order is null || others is null || order.Length != header.LastSequence - header.FirstSequence + 1)
        {
            return null;
        }

        var cursors = Array.ConvertAll(sources, source => new ScanCursor(source));
        var codec = new EntryCodec();
        var rest = new ByteSource(others);
        List<JournalEntry> entries = new(order.Length);
        long sequence = header.FirstSequence;
        foreach (byte source in order)
        {
            JournalEntry? entry = source == OtherSource
                ? ReadOther(ref rest, codec, sequence)
                : source <= cursors.Length && cursors[source - 1].Next() is { } scan ? new InputEntry(sequence, new ScanInput(scan)) : null;
            if (entry is null)
            {
                return null;
            }

            entries.Add(entry);
            sequence++;
        }

        return rest.Left == 0 && Array.TrueForAll(cursors, cursor => cursor.AtEnd) ? entries : null;
    }

    /// <summary>Whether a block gives these entries back bit for bit: asked before their first copy is deleted.</summary>
    public static bool Holds(ReadOnlySpan<byte> block, BlockHeader header, IReadOnlyList<JournalEntry> entries)
    {
        ScanColumns[]? sources = ReadColumns(block, header);
        byte[]? order = Unpack(block.Slice(header.OrderAt, header.OrderLength));
        byte[]? others = Unpack(block.Slice(header.OthersAt, header.OthersLength));
        if (sources is null || order is null || others is null || order.Length != entries.Count || header.FirstSequence != entries[0].Sequence)
        {
            return false;
        }

        var cursors = Array.ConvertAll(sources, source => new ScanCursor(source));
        var codec = new EntryCodec();
        var rest = new ByteSource(others);
        for (int i = 0; i < order.Length; i++)
        {
            bool same = order[i] == OtherSource
                ? ReadOther(ref rest, codec, entries[i].Sequence) is { } other && EntryComparison.Same([entries[i]], [other])
                : order[i] <= cursors.Length && entries[i] is InputEntry { Input: ScanInput { Scan: var scan } } && cursors[order[i] - 1].NextIs(scan);
            if (!same)
            {
                return false;
            }
        }

        return rest.Left == 0 && Array.TrueForAll(cursors, cursor => cursor.AtEnd);
    }

    /// <summary>The scans of a block, by device; null if they cannot be understood.</summary>
    public static ScanColumns[]? ReadColumns(ReadOnlySpan<byte> block, BlockHeader header)
    {
        var source = new ByteSource(block.Slice(header.ColumnsAt, header.ColumnsLength));
        var columns = new ScanColumns[header.Sources];
        for (int i = 0; i < columns.Length; i++)
        {
            if (ScanColumnsCodec.Read(ref source) is not { } read)
            {
                return null;
            }

            columns[i] = read;
        }

        return source.Left == 0 ? columns : null;
    }

    /// <summary>The cell of a block made by <see cref="WriteCell"/>; null if it cannot be read.</summary>
    public static CellDefinition? ReadCell(ReadOnlySpan<byte> block, BlockHeader header) =>
        Unpack(block.Slice(BlockHeader.Length, header.CellLength)) is { } json ? SegmentHeader.FromJson(json) : null;

    /// <summary>Hash of a block: SHA-256 of the hash before it and of its own bytes up to and with the checksum.</summary>
    public static byte[] HashOf(ReadOnlySpan<byte> block, ReadOnlySpan<byte> previousHash)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(previousHash);
        hash.AppendData(block[..^BlockHeader.HashLength]);
        return hash.GetHashAndReset();
    }

    private static byte[] Finish(ByteSink sink, BlockHeader header, ReadOnlySpan<byte> previousHash,
        ReadOnlySpan<byte> first, ReadOnlySpan<byte> second, ReadOnlySpan<byte> third, ReadOnlySpan<byte> fourth)
    {
        int start = sink.Length;
        header.Write(sink);
        sink.Bytes(first);
        sink.Bytes(second);
        sink.Bytes(third);
        sink.Bytes(fourth);
        sink.UInt32(Crc32C.Of(sink.Written[start..]));
        sink.Take(BlockHeader.HashLength).Clear();
        byte[] hash = HashOf(sink.Written[start..], previousHash);
        sink.CutTo(sink.Length - BlockHeader.HashLength);
        sink.Bytes(hash);
        return hash;
    }

    private void WriteOther(JournalEntry entry)
    {
        _content.Clear();
        _entries.Forget(); // a scan among the others stands for itself
        switch (entry)
        {
            case InputEntry input:
                _entries.Write(_content, input.Input);
                break;
            case SnapshotEntry snapshot:
                EntryCodec.WriteSnapshot(_content, snapshot.Time, snapshot.State.Span);
                break;
            case GapEntry gap:
                EntryCodec.WriteGap(_content, gap.Time, gap.Last, gap.Count);
                break;
            default:
                throw new ArgumentException($"{entry.GetType().Name} cannot be sealed.", nameof(entry));
        }

        _others.VarUInt((ulong)_content.Length);
        _others.Bytes(_content.Written);
    }

    private static JournalEntry? ReadOther(ref ByteSource source, EntryCodec codec, long sequence)
    {
        ReadOnlySpan<byte> content = source.Bytes(source.Count());
        codec.Forget();
        return source.Failed ? null : codec.Read(content, sequence);
    }

    /// <summary>Length as u32, then Brotli (RFC 7932).</summary>
    private static byte[] Pack(ReadOnlySpan<byte> bytes)
    {
        var packed = new byte[4 + BrotliEncoder.GetMaxCompressedLength(bytes.Length) + 64];
        BinaryPrimitives.WriteInt32LittleEndian(packed, bytes.Length);
        return BrotliEncoder.TryCompress(bytes, packed.AsSpan(4), out int written, quality: 5, window: 20)
            ? packed[..(4 + written)]
            : throw new InvalidOperationException("The buffer for Brotli was too small.");
    }

    private static byte[]? Unpack(ReadOnlySpan<byte> packed)
    {
        if (packed.Length < 4 || BinaryPrimitives.ReadInt32LittleEndian(packed) is var length && length is < 0 or > MostBytes)
        {
            return null;
        }

        var bytes = new byte[length];
        return BrotliDecoder.TryDecompress(packed[4..], bytes, out int written) && written == length ? bytes : null;
    }
}
