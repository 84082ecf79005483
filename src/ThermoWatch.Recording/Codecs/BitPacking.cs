using System.Numerics;

namespace ThermoWatch.Recording.Codecs;

/// <summary>Numbers of one width side by side, lowest bit first; the last byte is filled with zeros.</summary>
internal static class BitPacking
{
    /// <summary>Bits that the largest of the numbers needs.</summary>
    public static int WidthOf(ReadOnlySpan<ulong> numbers)
    {
        ulong all = 0;
        foreach (ulong number in numbers)
        {
            all |= number;
        }

        return 64 - BitOperations.LeadingZeroCount(all);
    }

    public static int BytesFor(int count, int width) => (int)(((long)count * width + 7) / 8);

    /// <summary>Packs; the width is 0 to 32, and no number is wider.</summary>
    public static void Pack(ReadOnlySpan<ulong> numbers, int width, Span<byte> to)
    {
        ulong held = 0;
        int bits = 0, at = 0;
        foreach (ulong number in numbers)
        {
            held |= number << bits;
            for (bits += width; bits >= 8; bits -= 8)
            {
                to[at++] = (byte)(held & 0xFF);
                held >>= 8;
            }
        }

        if (bits > 0)
        {
            to[at] = (byte)held;
        }
    }

    /// <summary>Unpacks; the width is 0 to 32.</summary>
    public static void Unpack(ReadOnlySpan<byte> from, int width, Span<ulong> numbers)
    {
        ulong held = 0, mask = (1UL << width) - 1;
        int bits = 0, at = 0;
        for (int i = 0; i < numbers.Length; i++)
        {
            for (; bits < width; bits += 8)
            {
                held |= (ulong)from[at++] << bits;
            }

            numbers[i] = held & mask;
            held >>= width;
            bits -= width;
        }
    }
}
