using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Archive;

/// <summary>Front of an archive file. FORMAT.md draws the bytes.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="FirstSequence">Number of its first entry.</param>
/// <param name="Created">When it was begun.</param>
/// <param name="PreviousHash">Hash of the last block of the file before it; zeros in the first file.</param>
internal sealed record ArchiveFileHeader(int Cell, long FirstSequence, Timestamp Created, byte[] PreviousHash)
{
    /// <summary>Version of the file's format.</summary>
    public ushort Version { get; init; } = Newest;

    public const int Length = 68;

    /// <summary>The version that is written; columns of version 1 were held in other ways.</summary>
    public const ushort Newest = 2;

    public const string Extension = ".twb";

    private static ReadOnlySpan<byte> Magic => [0x89, (byte)'T', (byte)'W', (byte)'B', 0x0D, 0x0A, 0x1A, 0x0A];

    public void Write(ByteSink sink)
    {
        sink.Bytes(Magic);
        sink.UInt16(Newest);
        sink.UInt16(0);
        sink.UInt32((uint)Cell);
        sink.Int64(FirstSequence);
        sink.Int64(Created.UtcTicks);
        sink.Bytes(PreviousHash);
        sink.UInt32(Crc32C.Of(sink.Written[^(Length - 4)..]));
    }

    /// <summary>The header at the front of the bytes, or why there is none.</summary>
    public static ArchiveFileHeader? TryRead(ReadOnlySpan<byte> bytes, out string problem)
    {
        var source = new ByteSource(bytes);
        problem = bytes.Length < Length ? "the header is cut short" : "this is no archive file";
        if (!source.Bytes(8).SequenceEqual(Magic) || bytes.Length < Length)
        {
            return null;
        }

        ushort version = source.UInt16();
        problem = $"format version {version} is not known to this program, which reads versions 1 to {Newest}";
        if (version is < 1 or > Newest)
        {
            return null;
        }

        problem = "the header's checksum does not fit";
        if (BitConverter.ToUInt32(bytes[(Length - 4)..]) != Crc32C.Of(bytes[..(Length - 4)]))
        {
            return null;
        }

        problem = "";
        source.UInt16();
        uint cell = source.UInt32();
        long first = source.Int64(), created = source.Int64();
        return new ArchiveFileHeader(unchecked((int)cell), first, new Timestamp(created), source.Bytes(BlockHeader.HashLength).ToArray()) { Version = version };
    }
}
