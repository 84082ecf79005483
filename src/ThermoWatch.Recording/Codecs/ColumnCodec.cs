using System.Buffers.Binary;

namespace ThermoWatch.Recording.Codecs;

/// <summary>A column of integers that follow one another in time, as the small differences from what was to be expected.</summary>
/// <remarks>
/// A noisy curve costs little more than the entropy of its noise. What is expected is the value before or a least-squares line through the last
/// few; what is left is Rice coded. FORMAT.md draws the bits. Two ways of version 1 are only read.
/// </remarks>
internal sealed class ColumnCodec
{
    private const int Constant = 0, Line = 1, Previous = 2, Raw = 3, Windowed = 4;
    private const int Group = 64;

    private readonly ByteSink _bits = new();
    private readonly WindowedColumn _windowed = new();

    /// <summary>Writes a column; its length is known to whoever reads it.</summary>
    public void Write(ByteSink sink, ReadOnlySpan<long> values)
    {
        if (values.IsEmpty || values.IndexOfAnyExcept(values[0]) < 0)
        {
            sink.Byte(Constant);
            sink.VarInt(values.IsEmpty ? 0 : values[0]);
            return;
        }

        _bits.Clear();
        _bits.CutTo(_windowed.Write(_bits.Take(WindowedColumn.MostBytes(values.Length)), values));
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

        sink.Byte(Windowed);
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
            case Line or Previous or Windowed when values.Length > 0:
                values[0] = source.VarInt();
                ReadOnlySpan<byte> bytes = source.Bytes(source.Count());
                if (source.Failed || !(mode == Windowed ? WindowedColumn.TryRead(bytes, values) : Decode(bytes, values, mode == Line)))
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
            if (!RiceBits.TryTake(ref own, parameter, out group[i]))
            {
                return false;
            }
        }

        reader = own;
        return true;
    }
}
