using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace ThermoWatch.Domain.Thermocouples;

/// <content>Many arguments at once. The same operations in the same order as one at a time, so the results agree to the bit.</content>
/// <remarks>
/// The rows of the lanes are loaded whole and transposed: a row is half a cache line, so this costs one load a lane
/// where a gather would cost four.
/// </remarks>
internal sealed partial class CubicTable
{
    /// <summary>How wide the processor may go; narrower ones are there for other machines, and to prove them equal.</summary>
    internal enum Width
    {
        One = 1,
        Four = 4,
        Eight = 8,
    }

    internal static Width Widest { get; } = Avx512F.IsSupported ? Width.Eight : Avx2.IsSupported && Fma.IsSupported ? Width.Four : Width.One;

    /// <summary>As <see cref="At(double)"/> for each argument.</summary>
    /// <param name="arguments">May be the same memory as <paramref name="values"/>.</param>
    /// <param name="values">As long as <paramref name="arguments"/>.</param>
    /// <param name="width">At most <see cref="Widest"/>.</param>
    /// <returns>Whether the table answered every time; false: some values are NaN.</returns>
    public bool At(ReadOnlySpan<double> arguments, Span<double> values, Width width)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(values.Length, arguments.Length);
        bool isComplete = true;
        int done = width switch
        {
            Width.Eight => EightAtOnce(arguments, values, ref isComplete),
            Width.Four => FourAtOnce(arguments, values, ref isComplete),
            _ => 0,
        };
        for (int i = done; i < arguments.Length; i++)
        {
            double value = At(arguments[i]);
            isComplete &= !double.IsNaN(value);
            values[i] = value;
        }

        return isComplete;
    }

    private int FourAtOnce(ReadOnlySpan<double> arguments, Span<double> values, ref bool isComplete)
    {
        ref double rows = ref MemoryMarshal.GetArrayDataReference(_rows);
        ref double from = ref MemoryMarshal.GetReference(arguments);
        ref double to = ref MemoryMarshal.GetReference(values);
        Vector256<double> missing = default;
        int i = 0;
        for (; i + Vector256<double>.Count <= arguments.Length; i += Vector256<double>.Count)
        {
            Vector256<double> position = (Vector256.LoadUnsafe(ref from, (nuint)i) - Vector256.Create(Low)) * Vector256.Create(CellsPerUnit);
            Vector256<double> isInside = Vector256.GreaterThan(position, Vector256<double>.Zero)
                & Vector256.LessThanOrEqual(position, Vector256.Create((double)Count));
            position &= isInside; // lanes outside read cell 0, and are made NaN in the end
            Vector256<double> cell = Vector256.Max(Vector256.Ceiling(position) - Vector256<double>.One, Vector256<double>.Zero);
            Vector256<double> fraction = position - cell;
            Vector128<int> first = Avx.ConvertToVector128Int32WithTruncation(cell) * Row;

            Vector256<double> r0 = Vector256.LoadUnsafe(ref rows, (nuint)first[0]);
            Vector256<double> r1 = Vector256.LoadUnsafe(ref rows, (nuint)first[1]);
            Vector256<double> r2 = Vector256.LoadUnsafe(ref rows, (nuint)first[2]);
            Vector256<double> r3 = Vector256.LoadUnsafe(ref rows, (nuint)first[3]);
            Vector256<double> even01 = Avx.UnpackLow(r0, r1);
            Vector256<double> odd01 = Avx.UnpackHigh(r0, r1);
            Vector256<double> even23 = Avx.UnpackLow(r2, r3);
            Vector256<double> odd23 = Avx.UnpackHigh(r2, r3);
            const byte Lower = 0x20;
            const byte Upper = 0x31;

            Vector256<double> value = Fma.MultiplyAdd(Avx.Permute2x128(odd01, odd23, Upper), fraction, Avx.Permute2x128(even01, even23, Upper));
            value = Fma.MultiplyAdd(value, fraction, Avx.Permute2x128(odd01, odd23, Lower));
            value = Fma.MultiplyAdd(value, fraction, Avx.Permute2x128(even01, even23, Lower));
            value = Vector256.ConditionalSelect(isInside, value, Vector256.Create(double.NaN));
            missing |= ~Vector256.Equals(value, value);
            value.StoreUnsafe(ref to, (nuint)i);
        }

        isComplete &= missing.AsInt64() == Vector256<long>.Zero;
        return i;
    }

    private int EightAtOnce(ReadOnlySpan<double> arguments, Span<double> values, ref bool isComplete)
    {
        ref double rows = ref MemoryMarshal.GetArrayDataReference(_rows);
        ref double from = ref MemoryMarshal.GetReference(arguments);
        ref double to = ref MemoryMarshal.GetReference(values);
        Vector512<double> missing = default;
        int i = 0;
        for (; i + Vector512<double>.Count <= arguments.Length; i += Vector512<double>.Count)
        {
            Vector512<double> position = (Vector512.LoadUnsafe(ref from, (nuint)i) - Vector512.Create(Low)) * Vector512.Create(CellsPerUnit);
            Vector512<double> isInside = Vector512.GreaterThan(position, Vector512<double>.Zero)
                & Vector512.LessThanOrEqual(position, Vector512.Create((double)Count));
            position &= isInside;
            Vector512<double> cell = Vector512.Max(Vector512.Ceiling(position) - Vector512<double>.One, Vector512<double>.Zero);
            Vector512<double> fraction = position - cell;
            Vector256<int> first = Avx512F.ConvertToVector256Int32WithTruncation(cell) * Row;

            Vector512<double> r02 = Pair(ref rows, first[0], first[2]);
            Vector512<double> r13 = Pair(ref rows, first[1], first[3]);
            Vector512<double> r46 = Pair(ref rows, first[4], first[6]);
            Vector512<double> r57 = Pair(ref rows, first[5], first[7]);
            Vector512<double> even0123 = Avx512F.UnpackLow(r02, r13);
            Vector512<double> odd0123 = Avx512F.UnpackHigh(r02, r13);
            Vector512<double> even4567 = Avx512F.UnpackLow(r46, r57);
            Vector512<double> odd4567 = Avx512F.UnpackHigh(r46, r57);
            const byte EvenQuarters = 0x88;
            const byte OddQuarters = 0xDD;

            Vector512<double> value = Avx512F.FusedMultiplyAdd(
                Avx512F.Shuffle4x128(odd0123, odd4567, OddQuarters), fraction, Avx512F.Shuffle4x128(even0123, even4567, OddQuarters));
            value = Avx512F.FusedMultiplyAdd(value, fraction, Avx512F.Shuffle4x128(odd0123, odd4567, EvenQuarters));
            value = Avx512F.FusedMultiplyAdd(value, fraction, Avx512F.Shuffle4x128(even0123, even4567, EvenQuarters));
            value = Vector512.ConditionalSelect(isInside, value, Vector512.Create(double.NaN));
            missing |= ~Vector512.Equals(value, value);
            value.StoreUnsafe(ref to, (nuint)i);
        }

        isComplete &= missing.AsInt64() == Vector512<long>.Zero;
        return i;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<double> Pair(ref double rows, int lower, int upper) =>
        Vector512.Create(Vector256.LoadUnsafe(ref rows, (nuint)lower), Vector256.LoadUnsafe(ref rows, (nuint)upper));
}
