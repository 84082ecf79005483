using System.Buffers.Binary;
using System.Text;

namespace ThermoWatch.Recording.Codecs;

/// <summary>Bytes in the making. Grows as needed and is used again and again, so that a recording at rest allocates nothing.</summary>
/// <remarks>All numbers are little-endian; <c>varint</c> is unsigned LEB128, signed numbers are zigzagged first.</remarks>
internal sealed class ByteSink(int capacity = 4096)
{
    private byte[] _bytes = new byte[capacity];

    /// <summary>How many bytes there are.</summary>
    public int Length { get; private set; }

    public ReadOnlySpan<byte> Written => _bytes.AsSpan(0, Length);

    public void Clear() => Length = 0;

    /// <summary>Forgets everything after the first <paramref name="length"/> bytes.</summary>
    public void CutTo(int length) => Length = Math.Min(length, Length);

    /// <summary>Room for exactly <paramref name="count"/> more bytes, counted as written.</summary>
    public Span<byte> Take(int count)
    {
        int needed = Length + count;
        if (needed > _bytes.Length)
        {
            Array.Resize(ref _bytes, Math.Max(needed, (int)Math.Min(2L * _bytes.Length, Array.MaxLength)));
        }

        Span<byte> room = _bytes.AsSpan(Length, count);
        Length = needed;
        return room;
    }

    public void Byte(byte value) => Take(1)[0] = value;

    public void UInt16(ushort value) => BinaryPrimitives.WriteUInt16LittleEndian(Take(2), value);

    public void UInt32(uint value) => BinaryPrimitives.WriteUInt32LittleEndian(Take(4), value);

    public void UInt64(ulong value) => BinaryPrimitives.WriteUInt64LittleEndian(Take(8), value);

    public void Int64(long value) => BinaryPrimitives.WriteInt64LittleEndian(Take(8), value);

    public void Bytes(ReadOnlySpan<byte> bytes) => bytes.CopyTo(Take(bytes.Length));

    /// <summary>Seven bits a byte, lowest first; the top bit says that more follow.</summary>
    public void VarUInt(ulong value)
    {
        while (value >= 0x80)
        {
            Byte((byte)(value & 0x7F | 0x80));
            value >>= 7;
        }

        Byte((byte)value);
    }

    public void VarInt(long value) => VarUInt(ZigZag.Encode(value));

    /// <summary>Length in bytes as a varint, then UTF-8.</summary>
    public void Text(string text)
    {
        int count = Encoding.UTF8.GetByteCount(text);
        VarUInt((ulong)count);
        Encoding.UTF8.GetBytes(text, Take(count));
    }
}

/// <summary>Signed numbers as unsigned ones, so that small ones stay small: 0, -1, 1, -2 become 0, 1, 2, 3.</summary>
internal static class ZigZag
{
    public static ulong Encode(long value) => unchecked((ulong)(value << 1 ^ value >> 63));

    public static long Decode(ulong value) => unchecked((long)(value >> 1) ^ -(long)(value & 1));
}
