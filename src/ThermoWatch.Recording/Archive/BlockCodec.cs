using System.Buffers.Binary;
using System.IO.Compression;
using System.Security.Cryptography;
using ThermoWatch.Domain.Engine;
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

    private readonly ScanColumnsCodec _scans = new();
    private readonly ByteSink _columns = new(), _overview = new();

    /// <summary>Appends a block that holds the entries.</summary>
    /// <param name="sink">Where to.</param>
    /// <param name="contents">The entries, 1 to <see cref="MostEntries"/>, closed.</param>
    /// <param name="previousHash">Hash of the block before it.</param>
    /// <returns>The block's own hash.</returns>
    public byte[] Write(ByteSink sink, BlockContents contents, ReadOnlySpan<byte> previousHash)
    {
        _columns.Clear();
        _overview.Clear();
        foreach (ScanStack source in contents.Sources)
        {
            _scans.Write(_columns, _overview, source);
        }

        byte[] packedOrder = Pack(contents.Order), packedOthers = Pack(contents.Others);
        var header = new BlockHeader
        {
            FirstSequence = contents.FirstSequence,
            LastSequence = contents.LastSequence,
            Earliest = contents.Earliest,
            Latest = contents.Latest,
            Snapshots = contents.Snapshots,
            Sources = contents.Sources.Count,
            OverviewLength = _overview.Length,
            OverviewChecksum = Crc32C.Of(_overview.Written),
            OrderLength = packedOrder.Length,
            OthersLength = packedOthers.Length,
            ColumnsLength = _columns.Length,
        };
        return Finish(sink, header, previousHash, _overview.Written, packedOrder, packedOthers, _columns.Written);
    }

    /// <summary>Appends a block that says how the cell is wired from the next entry on.</summary>
    public static byte[] WriteCell(ByteSink sink, ReadOnlySpan<byte> cell, long nextSequence, ReadOnlySpan<byte> previousHash)
    {
        byte[] json = Pack(cell);
        var header = new BlockHeader { FirstSequence = nextSequence, LastSequence = nextSequence - 1, Sources = 0, CellLength = json.Length };
        return Finish(sink, header, previousHash, json, [], [], []);
    }

    /// <summary>
    /// The entries of a block whose bytes have been checked; null if they cannot be understood all the same. Whether they can is known
    /// before the first is given; scans are put together one by one as they are asked for, so that none of them grows old.
    /// </summary>
    public static IEnumerable<JournalEntry>? ReadEntries(ReadOnlySpan<byte> block, BlockHeader header)
    {
        ScanColumns[]? sources = ReadColumns(block, header);
        byte[]? order = Unpack(block.Slice(header.OrderAt, header.OrderLength));
        byte[]? packed = Unpack(block.Slice(header.OthersAt, header.OthersLength));
        if (sources is null || order is null || packed is null || order.Length != header.LastSequence - header.FirstSequence + 1)
        {
            return null;
        }

        var codec = new EntryCodec();
        var rest = new ByteSource(packed);
        var others = new List<JournalEntry>();
        var counts = new int[sources.Length + 1];
        for (int i = 0; i < order.Length; i++)
        {
            if (order[i] > sources.Length)
            {
                return null;
            }

            counts[order[i]]++;
            if (order[i] == BlockContents.OtherSource)
            {
                if (ReadOther(ref rest, codec, header.FirstSequence + i) is not { } other)
                {
                    return null;
                }

                others.Add(other);
            }
        }

        for (int i = 0; i < sources.Length; i++)
        {
            if (counts[i + 1] != sources[i].Count)
            {
                return null;
            }
        }

        return rest.Left == 0 ? InOrder(header.FirstSequence, order, sources, others) : null;
    }

    private static IEnumerable<JournalEntry> InOrder(long first, byte[] order, ScanColumns[] sources, List<JournalEntry> others)
    {
        var cursors = Array.ConvertAll(sources, source => new ScanCursor(source));
        int other = 0;
        for (int i = 0; i < order.Length; i++)
        {
            yield return order[i] == BlockContents.OtherSource ? others[other++] : new InputEntry(first + i, new ScanInput(cursors[order[i] - 1].Next()!));
        }
    }

    /// <summary>Whether a block gives these entries back bit for bit: asked before their first copy is deleted.</summary>
    public bool Holds(ReadOnlySpan<byte> block, BlockHeader header, BlockContents contents)
    {
        if (header.FirstSequence != contents.FirstSequence || header.LastSequence != contents.LastSequence || header.Sources != contents.Sources.Count
            || !contents.Order.SequenceEqual(Unpack(block.Slice(header.OrderAt, header.OrderLength)))
            || !contents.Others.SequenceEqual(Unpack(block.Slice(header.OthersAt, header.OthersLength))))
        {
            return false;
        }

        var source = new ByteSource(block.Slice(header.ColumnsAt, header.ColumnsLength));
        foreach (ScanStack stack in contents.Sources)
        {
            if (!_scans.Holds(ref source, stack))
            {
                return false;
            }
        }

        return source.Left == 0;
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
        ReadCellJson(block, header) is { } json ? SegmentHeader.FromJson(json) : null;

    /// <summary>The same as the JSON that stands there.</summary>
    public static byte[]? ReadCellJson(ReadOnlySpan<byte> block, BlockHeader header) => Unpack(block.Slice(BlockHeader.Length, header.CellLength));

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
