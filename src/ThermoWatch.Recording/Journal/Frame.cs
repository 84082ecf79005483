using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Journal;

/// <summary>What stands around an entry's content in a file: length as a varint, checksum, content.</summary>
/// <remarks>
/// The checksum also covers the entry's number, which is not written: an entry that was moved, doubled or
/// left out shows, though each byte of it is right.
/// </remarks>
internal static class Frame
{
    /// <summary>Most bytes of content. A snapshot is the only large entry.</summary>
    public const int MostContent = 64 << 20;

    private const int ChecksumLength = 4;

    /// <summary>Appends the content as the entry with this number.</summary>
    public static void Write(ByteSink sink, ReadOnlySpan<byte> content, long sequence)
    {
        sink.VarUInt((ulong)content.Length);
        sink.UInt32(Crc32C.Of(unchecked((ulong)sequence), content));
        sink.Bytes(content);
    }

    /// <summary>Where the content lies in a frame at the front of the bytes, if its length can be at all.</summary>
    public static bool TryMeasure(ReadOnlySpan<byte> bytes, out int contentStart, out int contentLength)
    {
        var source = new ByteSource(bytes);
        ulong length = source.VarUInt();
        contentStart = bytes.Length - source.Left + ChecksumLength;
        contentLength = (int)Math.Min(length, MostContent + 1);
        return !source.Failed && length is > 0 and <= MostContent && contentStart + contentLength <= bytes.Length;
    }

    /// <summary>Reads the frame at the front of the bytes as the entry with this number; false if it is not that.</summary>
    public static bool TryRead(ReadOnlySpan<byte> bytes, long sequence, out int contentStart, out int contentLength) =>
        TryMeasure(bytes, out contentStart, out contentLength)
        && BitConverter.ToUInt32(bytes[(contentStart - ChecksumLength)..]) == Crc32C.Of(unchecked((ulong)sequence), bytes.Slice(contentStart, contentLength));
}
