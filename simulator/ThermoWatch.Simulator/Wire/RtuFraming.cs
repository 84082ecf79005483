using System.Buffers.Binary;

namespace ThermoWatch.Simulator.Wire;

/// <summary>Requests of Modbus RTU: found by length and check sum, ended by silence where the length is not known. Pure.</summary>
/// <remarks>Modbus over Serial Line V1.02: 2.5.1 framing, appendix B check sum (CRC-16, polynomial A001 reflected, preset FFFF, low byte first).</remarks>
internal static class RtuFraming
{
    /// <summary>Longest frame.</summary>
    public const int MaxLength = 256;

    /// <summary>Length of a request of functions 03 and 04.</summary>
    public const int ReadLength = 8;

    private const int Shortest = 4;

    /// <summary>Check sum of these bytes.</summary>
    public static ushort Crc(ReadOnlySpan<byte> bytes)
    {
        int crc = 0xFFFF;
        foreach (byte one in bytes)
        {
            crc ^= one;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xA001 : crc >> 1;
            }
        }

        return (ushort)crc;
    }

    /// <summary>Whether the bytes end in their own check sum.</summary>
    public static bool IsWhole(ReadOnlySpan<byte> bytes) =>
        bytes.Length >= Shortest && Crc(bytes[..^2]) == BinaryPrimitives.ReadUInt16LittleEndian(bytes[^2..]);

    /// <summary>Length of a whole read request at the front, or 0.</summary>
    public static int ReadRequest(ReadOnlySpan<byte> bytes) =>
        bytes.Length >= ReadLength && bytes[1] is 3 or 4 && IsWhole(bytes[..ReadLength]) ? ReadLength : 0;

    /// <summary>Writes the answer to a whole request; 0 if it is for another unit or for all (which nobody answers).</summary>
    public static int Answer(ReadOnlySpan<byte> request, byte unit, IRegisterSource source, bool refuse, Span<byte> answer)
    {
        if (request[0] != unit)
        {
            return 0;
        }

        int body = ModbusAnswer.Write(request[1..^2], source, refuse, answer[1..]);
        answer[0] = unit;
        BinaryPrimitives.WriteUInt16LittleEndian(answer[(1 + body)..], Crc(answer[..(1 + body)]));
        return 3 + body;
    }
}
