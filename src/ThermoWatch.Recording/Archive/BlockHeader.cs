using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Archive;

/// <summary>Front of a sealed block: what it holds, and where. FORMAT.md draws the bytes.</summary>
internal sealed record BlockHeader
{
    public const int Length = 80;
    public const int HashLength = 32;
    public const int TailLength = 4 + HashLength;

    private const uint Magic = 0x4B425754; // "TWBK"
    private const uint RemovedMagic = 0x52425754; // "TWBR"
    private const int RemovedHashAt = 40;

    public required long FirstSequence { get; init; }

    /// <summary>One less than the first in a block that only says how the cell is wired.</summary>
    public required long LastSequence { get; init; }

    public Timestamp Earliest { get; init; }

    public Timestamp Latest { get; init; }

    public int Snapshots { get; init; }

    public required int Sources { get; init; }

    public int CellLength { get; init; }

    public int OverviewLength { get; init; }

    public int OrderLength { get; init; }

    public int OthersLength { get; init; }

    public int ColumnsLength { get; init; }

    /// <summary>Checksum of the overview alone, which is read without the rest.</summary>
    public uint OverviewChecksum { get; init; }

    // The overview comes first, so that drawing a year reads the front of each block and nothing else.
    public int OverviewAt => Length + CellLength;

    public int OrderAt => OverviewAt + OverviewLength;

    public int OthersAt => OrderAt + OrderLength;

    public int ColumnsAt => OthersAt + OthersLength;

    /// <summary>Bytes of the whole block, with checksum and hash.</summary>
    public int BlockLength => IsRemoved ? RemovedLength : ColumnsAt + ColumnsLength + TailLength;

    /// <summary>Bytes of the block that was taken out: what comes after it stays in its place.</summary>
    public int RemovedLength { get; init; }

    public bool IsCell => CellLength > 0;

    /// <summary>Hash of the block that stood here and was taken out; null for a block that is there.</summary>
    public byte[]? RemovedHash { get; init; }

    public bool IsRemoved => RemovedHash is not null;

    public void Write(ByteSink sink)
    {
        sink.UInt32(Magic);
        sink.UInt32((uint)BlockLength);
        sink.Int64(FirstSequence);
        sink.Int64(LastSequence);
        sink.Int64(Earliest.UtcTicks);
        sink.Int64(Latest.UtcTicks);
        sink.UInt32((uint)Snapshots);
        sink.UInt32((uint)Sources);
        sink.UInt32((uint)CellLength);
        sink.UInt32((uint)OverviewLength);
        sink.UInt32((uint)OrderLength);
        sink.UInt32((uint)OthersLength);
        sink.UInt32((uint)ColumnsLength);
        sink.UInt32(OverviewChecksum);
        sink.UInt32(0);
        sink.UInt32(Crc32C.Of(sink.Written[^(Length - 4)..]));
    }

    /// <summary>What is left at the front of a block that is taken out: enough for the chain and for saying what is missing.</summary>
    public void WriteRemoved(ByteSink sink, ReadOnlySpan<byte> hash)
    {
        sink.UInt32(RemovedMagic);
        sink.UInt32((uint)BlockLength);
        sink.Int64(FirstSequence);
        sink.Int64(LastSequence);
        sink.Int64(Earliest.UtcTicks);
        sink.Int64(Latest.UtcTicks);
        sink.Bytes(hash);
        sink.UInt32(0);
        sink.UInt32(Crc32C.Of(sink.Written[^(Length - 4)..]));
    }

    /// <summary>The header at the front of the bytes; null if there is none.</summary>
    public static BlockHeader? TryRead(ReadOnlySpan<byte> bytes)
    {
        var source = new ByteSource(bytes);
        uint magic = source.UInt32();
        if (bytes.Length < Length || magic is not (Magic or RemovedMagic)
            || BitConverter.ToUInt32(bytes[(Length - 4)..]) != Crc32C.Of(bytes[..(Length - 4)]))
        {
            return null;
        }

        uint blockLength = source.UInt32();
        long first = source.Int64(), last = source.Int64(), earliest = source.Int64(), latest = source.Int64();
        if (magic == RemovedMagic)
        {
            return first < 1 || last < first || last - first >= BlockCodec.MostEntries || blockLength < Length + TailLength || blockLength > BlockCodec.MostBytes ? null : new BlockHeader
            {
                FirstSequence = first,
                LastSequence = last,
                Earliest = new Timestamp(earliest),
                Latest = new Timestamp(latest),
                Sources = 0,
                RemovedLength = (int)blockLength,
                RemovedHash = bytes.Slice(RemovedHashAt, HashLength).ToArray(),
            };
        }

        Span<uint> numbers = stackalloc uint[7];
        long total = Length + TailLength;
        for (int i = 0; i < numbers.Length; i++)
        {
            numbers[i] = source.UInt32();
            total += i >= 2 ? numbers[i] : 0;
        }

        if (total != blockLength || total > BlockCodec.MostBytes || numbers[0] > BlockCodec.MostEntries || numbers[1] > byte.MaxValue
            || first < 1 || last < first - 1 || last - first >= BlockCodec.MostEntries)
        {
            return null;
        }

        return new BlockHeader
        {
            FirstSequence = first,
            LastSequence = last,
            Earliest = new Timestamp(earliest),
            Latest = new Timestamp(latest),
            Snapshots = (int)numbers[0],
            Sources = (int)numbers[1],
            CellLength = (int)numbers[2],
            OverviewLength = (int)numbers[3],
            OrderLength = (int)numbers[4],
            OthersLength = (int)numbers[5],
            ColumnsLength = (int)numbers[6],
            OverviewChecksum = source.UInt32(),
        };
    }

    /// <summary>Whether the bytes are this block whole and their checksum fits.</summary>
    public bool Fits(ReadOnlySpan<byte> block) =>
        block.Length == BlockLength
        && BitConverter.ToUInt32(block[^TailLength..]) == Crc32C.Of(block[..^TailLength]);
}
