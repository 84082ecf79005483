using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Journal;

/// <summary>Front of a journal file: all that is needed to read it alone. FORMAT.md draws the bytes.</summary>
/// <param name="FirstSequence">Number of its first entry.</param>
/// <param name="Created">When the file was begun.</param>
/// <param name="Cell">The cell as it was wired then.</param>
/// <param name="Length">Bytes of the header.</param>
internal sealed record SegmentHeader(long FirstSequence, Timestamp Created, CellDefinition Cell, int Length)
{
    /// <summary>Version of the format that is written.</summary>
    public const ushort Version = 1;

    /// <summary>Most bytes a header may have.</summary>
    public const int MostLength = 4 << 20;

    private const int FixedLength = 40;

    /// <summary>What stands in the file of the cell.</summary>
    public byte[] Json { get; private init; } = [];

    // Begins like nothing that is text, and shows a transfer that bent line ends or the top bit.
    private static ReadOnlySpan<byte> Magic => [0x89, (byte)'T', (byte)'W', (byte)'J', 0x0D, 0x0A, 0x1A, 0x0A];

    public static void Write(ByteSink sink, long firstSequence, Timestamp created, CellDefinition cell)
    {
        int start = sink.Length;
        byte[] json = ToJson(cell);
        sink.Bytes(Magic);
        sink.UInt16(Version);
        sink.UInt16(0);
        sink.UInt32((uint)(FixedLength + json.Length + 4));
        sink.UInt32((uint)cell.Number);
        sink.Int64(firstSequence);
        sink.Int64(created.UtcTicks);
        sink.UInt32((uint)json.Length);
        sink.Bytes(json);
        sink.UInt32(Crc32C.Of(sink.Written[start..]));
    }

    /// <summary>The header at the front of the bytes, or why there is none.</summary>
    /// <param name="bytes">The file's bytes, from its beginning.</param>
    /// <param name="problem">Why not.</param>
    /// <param name="alike">A header that says the same of the cell, perhaps: then that need not be understood once more.</param>
    public static SegmentHeader? TryRead(ReadOnlySpan<byte> bytes, out string problem, SegmentHeader? alike = null)
    {
        var source = new ByteSource(bytes);
        if (!source.Bytes(8).SequenceEqual(Magic))
        {
            problem = bytes.Length < 8 ? "the header is cut short" : "this is no journal file";
            return null;
        }

        ushort version = source.UInt16();
        source.UInt16();
        uint length = source.UInt32();
        if (source.Failed)
        {
            problem = "the header is cut short";
            return null;
        }

        if (version != Version)
        {
            problem = $"format version {version} is not known to this program, which reads version {Version}";
            return null;
        }

        if (length is < FixedLength or > MostLength || length > bytes.Length)
        {
            problem = "the header is cut short";
            return null;
        }

        if (BitConverter.ToUInt32(bytes[((int)length - 4)..]) != Crc32C.Of(bytes[..((int)length - 4)]))
        {
            problem = "the header's checksum does not fit";
            return null;
        }

        source.UInt32();
        long first = source.Int64(), created = source.Int64();
        ReadOnlySpan<byte> json = source.Bytes((int)Math.Min(source.UInt32(), MostLength));
        bool isAlike = alike is not null && json.SequenceEqual(alike.Json);
        CellDefinition? cell = isAlike ? alike!.Cell : FromJson(json);
        problem = cell is null ? "the cell's definition in the header cannot be read" : "";
        return cell is null ? null : new SegmentHeader(first, new Timestamp(created), cell, (int)length) { Json = isAlike ? alike!.Json : json.ToArray() };
    }

    /// <summary>The definition in fixed bytes: two of them are the same when these are.</summary>
    public static byte[] ToJson(CellDefinition cell) => JsonSerializer.SerializeToUtf8Bytes(cell, RecordJson.Options);

    public static CellDefinition? FromJson(ReadOnlySpan<byte> json)
    {
        try
        {
            return JsonSerializer.Deserialize<CellDefinition>(json, RecordJson.Options);
        }
        catch (Exception fault) when (fault is JsonException or NotSupportedException or InvalidOperationException or FormatException)
        {
            return null;
        }
    }
}
