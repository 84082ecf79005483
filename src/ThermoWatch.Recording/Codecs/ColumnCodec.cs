using System.Buffers.Binary;
using System.Numerics;

namespace ThermoWatch.Recording.Codecs;

/// <summary>A column of integers that follow one another in time, as the small differences from what was to be expected.</summary>
/// <remarks>
/// A noisy curve costs little more than the entropy of its noise. What is expected is either the value before, or the
/// least-squares line through the last sixteen, one step on; what is left is Rice coded (R. F. Rice, JPL 79-22, 1979)
/// with a parameter for each 64 values. FORMAT.md draws the bits.
/// </remarks>
internal sealed class ColumnCodec
{
    private const int Constant = 0, Line = 1, Previous = 2, Raw = 3;
    private const int Group = 64, MostZeros = 24, WidestParameter = 31;
    private const int MostBitsPerValue = MostZeros + 1 + 64;

    private readonly ByteSink _bits = new();
    private ulong[] _line = new ulong[Group];
    private ulong[] _previous = new ulong[Group];

    /// <summary>Writes a column; its length is known to whoever reads it.</summary>
    public void Write(ByteSink sink, ReadOnlySpan<long> values)
    {
        if (values.IsEmpty || values.IndexOfAnyExcept(values[0]) < 0)
        {
            sink.Byte(Constant);
            sink.VarInt(values.IsEmpty ? 0 : values[0]);
            return;
        }

        if (_line.Length < values.Length)
        {
            (_line, _previous) = (new ulong[values.Length], new ulong[values.Length]);
        }

        Span<ulong> line = _line.AsSpan(0, values.Length), previous = _previous.AsSpan(0, values.Length);
        Prediction.LeftOverFromLine(values, line);
        Prediction.LeftOverFromPrevious(values, previous);
        bool byLine = Weight(line) < Weight(previous);
        Encode(byLine ? line : previous);
        const int MostBefore = 12; // the first value and the number of bytes
        if (_bits.Length + MostBefore > values.Length * 8)
        {
            sink.Byte(Raw);
            foreach (long value in values)
            {
                sink.Int64(value);
            }

            return;
        }

        sink.Byte((byte)(byLine ? Line : Previous));
        sink.VarInt(values[0]);
        sink.VarUInt((ulong)_bits.Length);
        sink.Bytes(_bits.Written);
    }

    /// <summary>Reads a column that fills the values; the source fails if it does not.</summary>
    public static void Read(ref ByteSource source, Span<long> values)
    {
        int mode = source.Byte();
        switch (mode)
        {
            case Constant:
                values.Fill(source.VarInt());
                break;
            case Line or Previous when values.Length > 0:
                values[0] = source.VarInt();
                ReadOnlySpan<byte> bytes = source.Bytes(source.Count());
                if (source.Failed || !Decode(bytes, values, mode == Line))
                {
                    source.Fail();
                }

                break;
            case Raw:
                ReadOnlySpan<byte> raw = source.Bytes(checked(values.Length * 8));
                for (int i = 0; i < values.Length && !source.Failed; i++)
                {
                    values[i] = BinaryPrimitives.ReadInt64LittleEndian(raw[(i * 8)..]);
                }

                break;
            default:
                source.Fail();
                break;
        }
    }

    private void Encode(ReadOnlySpan<ulong> left)
    {
        _bits.Clear();
        Span<byte> room = _bits.Take(left.Length * (MostBitsPerValue / 8 + 1) + left.Length / Group + 16);
        var writer = new BitWriter(room);
        for (int start = 1; start < left.Length; start += Group)
        {
            ReadOnlySpan<ulong> group = left[start..Math.Min(start + Group, left.Length)];
            int parameter = BestParameter(group);
            ulong mask = (1UL << parameter) - 1;
            writer.Put((ulong)parameter, 5);
            foreach (ulong value in group)
            {
                ulong zeros = value >> parameter;
                if (zeros < MostZeros)
                {
                    writer.Put(1UL << (int)zeros | (value & mask) << ((int)zeros + 1), (int)zeros + 1 + parameter);
                }
                else
                {
                    writer.Put(1UL << MostZeros, MostZeros + 1);
                    writer.Put(value & uint.MaxValue, 32);
                    writer.Put(value >> 32, 32);
                }
            }
        }

        _bits.CutTo(writer.Finish());
    }

    private static bool Decode(ReadOnlySpan<byte> bytes, Span<long> values, bool byLine)
    {
        var reader = new BitReader(bytes);
        Span<ulong> left = stackalloc ulong[Group];
        long sum = 0, weighted = 0;
        for (int start = 1; start < values.Length; start += Group)
        {
            Span<ulong> group = left[..Math.Min(Group, values.Length - start)];
            if (!TryDecodeGroup(ref reader, group))
            {
                return false;
            }

            int at = start;
            for (int end = byLine ? Math.Min(Prediction.Window, start + group.Length) : start + group.Length; at < end; at++)
            {
                values[at] = unchecked(values[at - 1] + ZigZag.Decode(group[at - start]));
            }

            if (at == start + group.Length)
            {
                continue;
            }

            if (start == 1)
            {
                (sum, weighted) = Prediction.Sums(values);
            }

            for (; at < start + group.Length; at++)
            {
                long next = unchecked(Prediction.OneStepOn(weighted) + ZigZag.Decode(group[at - start]));
                values[at] = next;
                Prediction.Slide(ref sum, ref weighted, values[at - Prediction.Window], next);
            }
        }

        return !reader.Overrun;
    }

    private static bool TryDecodeGroup(ref BitReader reader, scoped Span<ulong> group)
    {
        BitReader own = reader; // a copy stays in registers
        own.Fill();
        int parameter = (int)own.Take(5);
        for (int i = 0; i < group.Length; i++)
        {
            own.Fill();
            int zeros = own.TakeZeros();
            if (zeros < MostZeros)
            {
                group[i] = (ulong)zeros << parameter | own.Take(parameter);
            }
            else if (zeros == MostZeros)
            {
                own.Fill();
                group[i] = own.Take(32);
                own.Fill();
                group[i] |= own.Take(32) << 32;
            }
            else
            {
                return false;
            }
        }

        reader = own;
        return true;
    }

    private static int BestParameter(ReadOnlySpan<ulong> group)
    {
        int guess = Math.Clamp(63 - BitOperations.LeadingZeroCount(Weight(group) / (ulong)group.Length * 3 / 4 + 1), 0, WidestParameter);
        int best = guess;
        long bestBits = long.MaxValue;
        ulong largest = 0;
        foreach (ulong value in group)
        {
            largest |= value;
        }

        for (int parameter = Math.Max(0, guess - 1); parameter <= Math.Min(WidestParameter, guess + 1); parameter++)
        {
            long bits = largest >> parameter < MostZeros ? (long)SumShifted(group, parameter) + group.Length * (1L + parameter) : BitsOf(group, parameter);
            if (bits < bestBits)
            {
                (best, bestBits) = (parameter, bits);
            }
        }

        return best;
    }

    private static long BitsOf(ReadOnlySpan<ulong> group, int parameter)
    {
        long bits = 0;
        foreach (ulong value in group)
        {
            ulong zeros = value >> parameter;
            bits += zeros < MostZeros ? (int)zeros + 1 + parameter : MostBitsPerValue;
        }

        return bits;
    }

    private static ulong SumShifted(ReadOnlySpan<ulong> group, int parameter)
    {
        var sums = Vector<ulong>.Zero;
        int i = 0;
        for (; i + Vector<ulong>.Count <= group.Length; i += Vector<ulong>.Count)
        {
            sums += Vector.ShiftRightLogical(new Vector<ulong>(group[i..]), parameter);
        }

        ulong sum = Vector.Sum(sums);
        for (; i < group.Length; i++)
        {
            sum += group[i] >> parameter;
        }

        return sum;
    }

    /// <summary>Sum of what is left, each cut at a size beyond which it is written whole anyway.</summary>
    private static ulong Weight(ReadOnlySpan<ulong> left)
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
}
