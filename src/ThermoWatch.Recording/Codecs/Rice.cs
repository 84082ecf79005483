using System.Numerics;
using System.Runtime.CompilerServices;

namespace ThermoWatch.Recording.Codecs;

/// <summary>Rice codes (R. F. Rice, JPL 79-22, 1979): small numbers in few bits, by a parameter that many of them share.</summary>
internal static class Rice
{
    public const int MostZeros = 24, WidestParameter = 31;

    /// <summary>The parameter that makes the fewest bits, and how many those are.</summary>
    /// <param name="left">The numbers.</param>
    /// <param name="weight">Their sum, as <see cref="Weight"/> gives it.</param>
    /// <param name="whole">Bits of one that is written whole.</param>
    public static (int Parameter, long Bits) Best(ReadOnlySpan<ulong> left, ulong weight, int whole)
    {
        if (left.IsEmpty)
        {
            return (0, 0);
        }

        int guess = Math.Min(BitOperations.Log2(weight / (ulong)left.Length * 3 / 4 + 1), WidestParameter);
        (int Parameter, long Bits) best = (guess, long.MaxValue);
        ulong largest = Largest(left);
        for (int parameter = Math.Max(0, guess - 1); parameter <= Math.Min(WidestParameter, guess + 1); parameter++)
        {
            long bits = Bits(left, parameter, largest, whole);
            best = bits < best.Bits ? (parameter, bits) : best;
        }

        return best;
    }

    /// <summary>Bits that the numbers take with a parameter.</summary>
    public static long Bits(ReadOnlySpan<ulong> left, int parameter, ulong largest, int whole)
    {
        if (largest >> parameter < MostZeros)
        {
            return (long)SumShifted(left, parameter) + (left.Length * (1L + parameter));
        }

        long bits = 0;
        foreach (ulong value in left)
        {
            bits += value >> parameter < MostZeros ? (int)(value >> parameter) + 1 + parameter : whole;
        }

        return bits;
    }

    /// <summary>No less than the largest of them, and less than twice that.</summary>
    public static ulong Largest(ReadOnlySpan<ulong> left)
    {
        var all = Vector<ulong>.Zero;
        int i = 0;
        for (; i + Vector<ulong>.Count <= left.Length; i += Vector<ulong>.Count)
        {
            all |= new Vector<ulong>(left[i..]);
        }

        ulong largest = 0;
        for (int lane = 0; lane < Vector<ulong>.Count; lane++)
        {
            largest |= all[lane];
        }

        for (; i < left.Length; i++)
        {
            largest |= left[i];
        }

        return largest;
    }

    /// <summary>Sum of the numbers, each cut at a size beyond which it is written whole anyway.</summary>
    public static ulong Weight(ReadOnlySpan<ulong> left)
    {
        var sums = Vector<ulong>.Zero;
        int i = 0;
        for (; i + Vector<ulong>.Count <= left.Length; i += Vector<ulong>.Count)
        {
            sums += Vector.Min(new Vector<ulong>(left[i..]), new Vector<ulong>(uint.MaxValue));
        }

        ulong sum = Vector.Sum(sums);
        for (; i < left.Length; i++)
        {
            sum += Math.Min(left[i], uint.MaxValue);
        }

        return sum;
    }

    private static ulong SumShifted(ReadOnlySpan<ulong> left, int parameter)
    {
        var sums = Vector<ulong>.Zero;
        int i = 0;
        for (; i + Vector<ulong>.Count <= left.Length; i += Vector<ulong>.Count)
        {
            sums += Vector.ShiftRightLogical(new Vector<ulong>(left[i..]), parameter);
        }

        ulong sum = Vector.Sum(sums);
        for (; i < left.Length; i++)
        {
            sum += left[i] >> parameter;
        }

        return sum;
    }
}

/// <summary>One number that is left over, in the bits of a column.</summary>
internal static class RiceBits
{
    /// <summary>Bits of a number that is written whole.</summary>
    public const int Whole = Rice.MostZeros + 1 + 64;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Put(ref BitWriter writer, ulong value, int parameter)
    {
        ulong zeros = value >> parameter;
        if (zeros < Rice.MostZeros)
        {
            int count = unchecked((int)zeros + 1);
            writer.Put(1UL << (count - 1) | (value & ((1UL << parameter) - 1)) << count, unchecked(count + parameter));
        }
        else
        {
            writer.Put(1UL << Rice.MostZeros, Rice.MostZeros + 1);
            writer.Put(value & uint.MaxValue, 32);
            writer.Put(value >> 32, 32);
        }
    }

    /// <summary>False if the bits are none that <see cref="Put"/> writes.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static bool TryTake(ref BitReader reader, int parameter, out ulong value)
    {
        reader.Fill();
        int zeros = reader.TakeZeros();
        if (zeros < Rice.MostZeros)
        {
            value = (ulong)zeros << parameter | reader.Take(parameter); // 24 + 31 bits at most: one filling is enough
            return true;
        }

        BitReader copy = reader; // by whose address the call goes: the reader itself can stay in registers
        value = TakeWhole(ref copy);
        reader = copy;
        return zeros == Rice.MostZeros;
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private static ulong TakeWhole(ref BitReader reader)
    {
        reader.Fill();
        ulong low = reader.Take(32);
        reader.Fill();
        return low | reader.Take(32) << 32;
    }
}
