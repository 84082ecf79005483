using System.Runtime.CompilerServices;

namespace ThermoWatch.Recording.Codecs;

/// <summary>How many of the last values a line goes through. A type of its own each, so that the compiler knows the divisor.</summary>
internal interface IWindow
{
    static abstract int Length { get; }
}

internal readonly struct Window8 : IWindow
{
    public static int Length => 8;
}

internal readonly struct Window16 : IWindow
{
    public static int Length => 16;
}

internal readonly struct Window64 : IWindow
{
    public static int Length => 64;
}

/// <summary>The least-squares line through the last n values, one step on.</summary>
/// <remarks>
/// Weight of value k (k = 0 the oldest): 1/n + (k - mean)(n - mean) / Sxx, which is (3k - (n - 1)) / (n(n - 1) / 2). The longer the line, the less
/// noise it brings (variance 4/n), and the later it sees a bend. Both sums slide in constant time. All modulo 2^64 on both sides, so that even absurd values come back.
/// </remarks>
internal static class LineWindow<TWindow>
    where TWindow : IWindow
{
    private static int Length
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        get => TWindow.Length;
    }

    private static long Divisor
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        get => TWindow.Length * (TWindow.Length - 1) / 2;
    }

    /// <summary>What is left over of the values from a place on, zigzagged. At least <see cref="IWindow.Length"/> values stand before it.</summary>
    public static void LeftOver(ReadOnlySpan<long> values, int at, Span<ulong> left)
    {
        unchecked
        {
            (long sum, long weighted) = Sums(values.Slice(at - Length, Length));
            ReadOnlySpan<long> oldest = values.Slice(at - Length, left.Length), newest = values.Slice(at, left.Length);
            for (int i = 0; i < left.Length; i++)
            {
                left[i] = ZigZag.Encode(newest[i] - OneStepOn(weighted));
                weighted += (Length + 2) * oldest[i] - 3 * sum + 2 * (Length - 1) * newest[i];
                sum += newest[i] - oldest[i];
            }
        }
    }

    /// <summary>Reads the values of a stretch; false if the bits are none.</summary>
    public static bool TryRebuild(ref BitReader reader, int parameter, Span<long> values, int at, int end)
    {
        unchecked
        {
            BitReader own = reader; // a copy stays in registers
            (long sum, long weighted) = Sums(values.Slice(at - Length, Length));
            Span<long> oldest = values[(at - Length)..(end - Length)], newest = values[at..end];
            for (int i = 0; i < newest.Length; i++)
            {
                // Bits and line in one loop: each is a chain of its own, and the processor works at both.
                if (!RiceBits.TryTake(ref own, parameter, out ulong left))
                {
                    return false;
                }

                long gone = oldest[i], next = OneStepOn(weighted) + ZigZag.Decode(left);
                weighted += (Length + 2) * gone - 3 * sum + 2 * (Length - 1) * next;
                sum += next - gone;
                newest[i] = next;
            }

            reader = own;
            return true;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static long OneStepOn(long weighted) => unchecked(weighted + (weighted >= 0 ? Divisor / 2 : -(Divisor / 2))) / Divisor;

    private static (long Sum, long Weighted) Sums(ReadOnlySpan<long> values)
    {
        unchecked
        {
            long sum = 0, weighted = 0;
            for (int k = 0; k < Length; k++)
            {
                sum += values[k];
                weighted += (3 * k - (Length - 1)) * values[k];
            }

            return (sum, weighted);
        }
    }
}
