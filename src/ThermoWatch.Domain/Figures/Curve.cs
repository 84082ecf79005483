using System.Runtime.CompilerServices;

namespace ThermoWatch.Domain.Figures;

/// <summary>The judged readings of one channel in time order: what figures are computed from.</summary>
/// <remarks>
/// Grows at its end and is dropped from its front; both are amortised constant work, and its arrays are kept from
/// run to run, so that a steady cell allocates nothing. A reading keeps its sequence number for good.
/// Times rise strictly: whoever appends has sorted out repeats and readings out of order.
/// </remarks>
internal sealed class Curve
{
    private long[] _ticks;
    private double[] _values;
    private readonly long _gapTicks;
    private int _head;
    private long _latestGap = -1;

    /// <param name="gapTicks">Neighbours further apart than this have a gap between them.</param>
    /// <param name="capacity">Readings that there is room for at first.</param>
    public Curve(long gapTicks, int capacity = 1024)
    {
        _gapTicks = gapTicks;
        // Nothing is read that was not written, so nobody need write the pages of a long file's arrays twice.
        _ticks = GC.AllocateUninitializedArray<long>(capacity);
        _values = GC.AllocateUninitializedArray<double>(capacity);
    }

    /// <summary>Readings held.</summary>
    public int Count { get; private set; }

    /// <summary>Sequence number of the oldest reading held.</summary>
    public long First { get; private set; }

    /// <summary>Sequence number that the next reading will get.</summary>
    public long Next => First + Count;

    // Reading out is the engine's innermost work; a wrong number is caught by the array, so sums need no check of their own.

    /// <summary>Time of a held reading in UTC ticks.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public long TicksAt(long sequence) => unchecked(_ticks[_head + (int)(sequence - First)]);

    /// <summary>Value of a held reading, in the channel's unit.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public double ValueAt(long sequence) => unchecked(_values[_head + (int)(sequence - First)]);

    /// <summary>Time of the newest reading; there must be one.</summary>
    public long LastTicks { get; private set; }

    /// <summary>Value of the newest reading; there must be one.</summary>
    public double LastValue { get; private set; }

    public void Append(long ticks, double value)
    {
        if (Count > 0 && ticks - LastTicks > _gapTicks)
        {
            _latestGap = Next - 1;
        }

        int at = unchecked(_head + Count);
        if (at == _ticks.Length)
        {
            MakeRoom();
            at = Count;
        }

        _ticks[at] = ticks;
        _values[at] = value;
        (LastTicks, LastValue) = (ticks, value);
        Count++;
    }

    /// <summary>Forgets readings before a time; the newest always stays.</summary>
    public void DropBefore(long ticks)
    {
        while (Count > 1 && _ticks[_head] < ticks)
        {
            _head++;
            First++;
            Count--;
        }
    }

    /// <summary>Sequence number of the first held reading at or after a time; <see cref="Next"/> if there is none.</summary>
    public long FirstAtOrAfter(long ticks)
    {
        int found = _ticks.AsSpan(_head, Count).BinarySearch(ticks);
        return First + (found < 0 ? ~found : found);
    }

    /// <summary>The stretch between two times, both included.</summary>
    /// <param name="from">UTC ticks.</param>
    /// <param name="to">UTC ticks.</param>
    /// <param name="origin">UTC ticks that count as second zero.</param>
    /// <param name="gapLimit">Neighbours further apart than these ticks have a gap between them.</param>
    public CurveView View(long from, long to, long origin, long gapLimit)
    {
        int start = (int)(FirstAtOrAfter(from) - First);
        int end = (int)(FirstAtOrAfter(to == long.MaxValue ? to : to + 1) - First);
        int length = Math.Max(0, end - start);
        return new CurveView(_ticks.AsSpan(_head + start, length), _values.AsSpan(_head + start, length), origin, gapLimit)
        {
            IsWhole = gapLimit == _gapTicks && _latestGap < First + start,
        };
    }

    /// <summary>The same, with the reading before it and the one after it where they are held.</summary>
    public CurveView Around(long from, long to, long origin, long gapLimit)
    {
        long first = Math.Max(First, FirstAtOrAfter(from) - 1);
        long last = Math.Min(Next - 1, FirstAtOrAfter(to));
        int start = _head + (int)(first - First);
        int length = (int)Math.Max(0, last - first + 1);
        return new CurveView(_ticks.AsSpan(start, length), _values.AsSpan(start, length), origin, gapLimit)
        {
            IsWhole = gapLimit == _gapTicks && _latestGap < first,
        };
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(First);
        writer.Write(Count);
        for (int i = 0; i < Count; i++)
        {
            writer.Write(_ticks[_head + i]);
            writer.Write(_values[_head + i]);
        }
    }

    public static Curve Load(BinaryReader reader, long gapTicks)
    {
        long first = reader.ReadInt64();
        int count = reader.ReadInt32();
        var curve = new Curve(gapTicks, Math.Max(1024, count)) { First = first };
        for (int i = 0; i < count; i++)
        {
            curve.Append(reader.ReadInt64(), reader.ReadDouble());
        }

        return curve;
    }

    private void MakeRoom()
    {
        // Half empty at the front: moving is enough, and pays for itself by the drops that emptied it.
        int capacity = Count > _ticks.Length / 2 ? _ticks.Length * 2 : _ticks.Length;
        long[] ticks = capacity == _ticks.Length ? _ticks : new long[capacity];
        double[] values = capacity == _values.Length ? _values : new double[capacity];
        Array.Copy(_ticks, _head, ticks, 0, Count);
        Array.Copy(_values, _head, values, 0, Count);
        (_ticks, _values, _head) = (ticks, values, 0);
    }
}
