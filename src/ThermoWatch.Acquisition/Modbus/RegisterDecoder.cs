using System.Buffers.Binary;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Registers to numbers, unscaled.</summary>
public static class RegisterDecoder
{
    /// <summary>Registers that a number of this type fills.</summary>
    public static int RegistersOf(PointType type) => type switch
    {
        PointType.Int16 or PointType.UInt16 or PointType.Bit => 1,
        PointType.Int64 or PointType.Float64 => 4,
        _ => 2,
    };

    /// <summary>Decodes the number at the front of the bytes.</summary>
    /// <param name="bytes">As on the wire; at least twice <see cref="RegistersOf"/>.</param>
    /// <param name="type">How it is built.</param>
    /// <param name="order">Order of bytes and words; in one register only whether its bytes are swapped.</param>
    /// <param name="bit">For <see cref="PointType.Bit"/>: the lowest bit of the field, 0 to 15.</param>
    /// <param name="bitCount">For <see cref="PointType.Bit"/>: how many bits the field has.</param>
    public static double Decode(ReadOnlySpan<byte> bytes, PointType type, WordOrder order, int bit = 0, int bitCount = 1)
    {
        Span<byte> straight = stackalloc byte[8];
        straight = straight[..(2 * RegistersOf(type))];
        Straighten(bytes[..straight.Length], order, straight);
        return type switch
        {
            PointType.Int16 => BinaryPrimitives.ReadInt16BigEndian(straight),
            PointType.UInt16 => BinaryPrimitives.ReadUInt16BigEndian(straight),
            PointType.Bit => (BinaryPrimitives.ReadUInt16BigEndian(straight) >> bit) & ((1 << bitCount) - 1),
            PointType.Int32 => BinaryPrimitives.ReadInt32BigEndian(straight),
            PointType.UInt32 => BinaryPrimitives.ReadUInt32BigEndian(straight),
            PointType.Float32 => BinaryPrimitives.ReadSingleBigEndian(straight),
            PointType.Int64 => BinaryPrimitives.ReadInt64BigEndian(straight),
            _ => BinaryPrimitives.ReadDoubleBigEndian(straight),
        };
    }

    /// <summary>The number as it stands in a scan: NaN with its reason unless it is finite.</summary>
    public static double DecodeForScan(ReadOnlySpan<byte> bytes, PointType type, WordOrder order, int bit, int bitCount, out SignalQuality quality)
    {
        double value = Decode(bytes, type, order, bit, bitCount);
        bool finite = double.IsFinite(value);
        quality = finite ? SignalQuality.Good : SignalQuality.Bad(QualityReason.NotANumber);
        return finite ? value : double.NaN;
    }

    /// <summary>Brings bytes in the given order to most significant first.</summary>
    private static void Straighten(ReadOnlySpan<byte> bytes, WordOrder order, Span<byte> straight)
    {
        bool lowWordFirst = order is WordOrder.Cdab or WordOrder.Dcba;
        int swap = order is WordOrder.Badc or WordOrder.Dcba ? 1 : 0;
        int words = bytes.Length / 2;
        for (int word = 0; word < words; word++)
        {
            int from = 2 * (lowWordFirst ? words - 1 - word : word);
            straight[2 * word] = bytes[from + swap];
            straight[(2 * word) + 1] = bytes[from + 1 - swap];
        }
    }
}
