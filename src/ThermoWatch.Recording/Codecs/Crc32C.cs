using System.Buffers.Binary;
using System.Numerics;

namespace ThermoWatch.Recording.Codecs;

/// <summary>CRC-32C (Castagnoli), the checksum of RFC 3720, 12.1; one instruction a word on today's processors.</summary>
internal static class Crc32C
{
    /// <summary>Checksum of the bytes alone.</summary>
    public static uint Of(ReadOnlySpan<byte> bytes) => ~Add(uint.MaxValue, bytes);

    /// <summary>Checksum of a number and then the bytes.</summary>
    public static uint Of(ulong number, ReadOnlySpan<byte> bytes) => ~Add(BitOperations.Crc32C(uint.MaxValue, number), bytes);

    private static uint Add(uint crc, ReadOnlySpan<byte> bytes)
    {
        for (; bytes.Length >= 8; bytes = bytes[8..])
        {
            crc = BitOperations.Crc32C(crc, BinaryPrimitives.ReadUInt64LittleEndian(bytes));
        }

        foreach (byte b in bytes)
        {
            crc = BitOperations.Crc32C(crc, b);
        }

        return crc;
    }
}
