using System.Numerics;

namespace ThermoWatch.Recording.Codecs;

/// <summary>
/// A column's bits in groups, each held against the value before or against a line through the last 8, 16 or 64: a still curve is best held against
/// a long line, which its noise hardly moves, and one that bends against a short one. FORMAT.md draws the bits.
/// </summary>
internal sealed class WindowedColumn
{
    /// <summary>Values that share a way and a parameter.</summary>
    public const int Group = 128;

    private const int Ways = 4, HeadBits = 8, GroupsASearch = 3;

    /// <summary>Values that stand before the first that a way can be used for: the value before, or the line's.</summary>
    private static readonly int[] Needs = [1, 8, 16, 64];

    private readonly ulong[][] _left = [.. Enumerable.Range(0, Ways).Select(_ => new ulong[Group])];
    private int _sinceSearch;
    private ulong _usual;

    /// <summary>Most bytes that so many values can take.</summary>
    public static int MostBytes(int count) => (count * (RiceBits.Whole + 1) + (count / Group + 1) * HeadBits) / 8 + 16;

    /// <summary>Writes all values but the first; returns the bytes used.</summary>
    public int Write(Span<byte> room, ReadOnlySpan<long> values)
    {
        var writer = new BitWriter(room);
        (int Way, int Parameter) before = (-1, 0);
        Span<ulong> weights = stackalloc ulong[Ways];
        for (int start = 1; start < values.Length; start += Group)
        {
            int count = Math.Min(Group, values.Length - start);
            int way = BestWay(values, start, count, before.Way, weights);
            ReadOnlySpan<ulong> left = _left[way].AsSpan(0, count);
            (int parameter, long bits) = Rice.Best(left, weights[way], RiceBits.Whole);
            if (way == before.Way && Rice.Bits(left, before.Parameter, Rice.Largest(left), RiceBits.Whole) <= bits + HeadBits - 1)
            {
                parameter = before.Parameter;
                writer.Put(1, 1);
            }
            else
            {
                before = (way, parameter);
                writer.Put((ulong)(way << 1 | parameter << 3), HeadBits);
            }

            BitWriter own = writer; // a copy stays in registers
            foreach (ulong value in left)
            {
                RiceBits.Put(ref own, value, parameter);
            }

            writer = own;
        }

        return writer.Finish();
    }

    /// <summary>Reads all values but the first, which is there; false if the bits are none of these.</summary>
    public static bool TryRead(ReadOnlySpan<byte> bytes, Span<long> values)
    {
        var reader = new BitReader(bytes);
        (int Way, int Parameter) head = (-1, 0);
        for (int start = 1; start < values.Length; start += Group)
        {
            reader.Fill();
            if (reader.Take(1) == 0)
            {
                head = ((int)reader.Take(2), (int)reader.Take(5));
            }

            int end = Math.Min(start + Group, values.Length);
            if (head.Way < 0)
            {
                return false;
            }

            for (int at = start; at < end;)
            {
                int way = WayAt(head.Way, at, end, out int stop);
                bool read = way switch
                {
                    0 => TryRebuildFromPrevious(ref reader, head.Parameter, values, at, stop),
                    1 => LineWindow<Window8>.TryRebuild(ref reader, head.Parameter, values, at, stop),
                    2 => LineWindow<Window16>.TryRebuild(ref reader, head.Parameter, values, at, stop),
                    _ => LineWindow<Window64>.TryRebuild(ref reader, head.Parameter, values, at, stop),
                };
                if (!read)
                {
                    return false;
                }

                at = stop;
            }
        }

        return !reader.Overrun;
    }

    /// <summary>
    /// The way that leaves least. Looking around costs time, so it is done where more is left than there was, and now and then.
    /// </summary>
    private int BestWay(ReadOnlySpan<long> values, int start, int count, int before, Span<ulong> weights)
    {
        if (before >= 0)
        {
            weights[before] = Weigh(before, values, start, count);
            if (++_sinceSearch < GroupsASearch && weights[before] <= _usual + _usual / 32)
            {
                return before;
            }
        }

        int best = Math.Max(0, before);
        for (int way = 0; way < Ways; way++)
        {
            weights[way] = way == before ? weights[way] : Weigh(way, values, start, count);
            best = weights[way] < weights[best] ? way : best;
        }

        (_sinceSearch, _usual) = (0, weights[best]);
        return best;
    }

    private ulong Weigh(int way, ReadOnlySpan<long> values, int start, int count)
    {
        Span<ulong> left = _left[way].AsSpan(0, count);
        LeftOver(way, values, start, left);
        return Rice.Weight(left);
    }

    private static void LeftOver(int wanted, ReadOnlySpan<long> values, int start, Span<ulong> left)
    {
        for (int at = start, end = start + left.Length; at < end;)
        {
            int way = WayAt(wanted, at, end, out int stop);
            Span<ulong> part = left[(at - start)..(stop - start)];
            switch (way)
            {
                case 0:
                    LeftOverFromPrevious(values, at, part);
                    break;
                case 1:
                    LineWindow<Window8>.LeftOver(values, at, part);
                    break;
                case 2:
                    LineWindow<Window16>.LeftOver(values, at, part);
                    break;
                default:
                    LineWindow<Window64>.LeftOver(values, at, part);
                    break;
            }

            at = stop;
        }
    }

    /// <summary>At the front of a column lines are as long as there are values, and below the shortest it is the value before.</summary>
    private static int WayAt(int wanted, int at, int end, out int stop)
    {
        stop = end;
        int way = wanted;
        for (; at < Needs[way]; way--)
        {
            stop = Math.Min(end, Needs[way]);
        }

        return way;
    }

    private static void LeftOverFromPrevious(ReadOnlySpan<long> values, int at, Span<ulong> left)
    {
        ReadOnlySpan<long> before = values.Slice(at - 1, left.Length), newest = values.Slice(at, left.Length);
        int i = 0;
        for (; i + Vector<long>.Count <= left.Length; i += Vector<long>.Count)
        {
            Vector<long> step = new Vector<long>(newest[i..]) - new Vector<long>(before[i..]);
            Vector.AsVectorUInt64((step << 1) ^ (step >> 63)).CopyTo(left[i..]);
        }

        for (; i < left.Length; i++)
        {
            left[i] = ZigZag.Encode(unchecked(newest[i] - before[i]));
        }
    }

    private static bool TryRebuildFromPrevious(ref BitReader reader, int parameter, Span<long> values, int at, int end)
    {
        BitReader own = reader;
        long value = values[at - 1];
        for (int i = at; i < end; i++)
        {
            if (!RiceBits.TryTake(ref own, parameter, out ulong left))
            {
                return false;
            }

            value = unchecked(value + ZigZag.Decode(left));
            values[i] = value;
        }

        reader = own;
        return true;
    }
}
