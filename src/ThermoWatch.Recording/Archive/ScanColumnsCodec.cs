using System.Runtime.InteropServices;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Archive;

/// <summary>The scans of one device to bytes and back. FORMAT.md draws the bytes.</summary>
internal sealed class ScanColumnsCodec
{
    private readonly ColumnCodec _columns = new();
    private readonly NumberColumn _numbers = new();
    private readonly ByteSink _point = new();
    private long[] _integers = [];
    private double[] _values = [];

    /// <summary>Writes the scans of one device, and their overview.</summary>
    public void Write(ByteSink sink, ByteSink overview, ScanStack scans)
    {
        Prepare(scans.Count);
        var cells = OverviewCells.Of(scans.Times);
        cells.WriteHead(overview, _columns, scans.DeviceIndex, scans.Points);
        WriteHead(sink, scans);
        for (int point = 0; point < scans.Points; point++)
        {
            _point.Clear();
            foreach (QualityRun run in scans.Runs(point))
            {
                _point.VarUInt((ulong)run.Count);
                _point.Byte(QualityCode.Of(run.Quality));
            }

            NumberForm form = _numbers.Write(_point, scans.Values(point));
            sink.VarUInt((ulong)_point.Length);
            sink.Bytes(_point.Written);

            _point.Clear();
            cells.WritePoint(_point, _columns, _numbers, scans.Values(point), form);
            overview.VarUInt((ulong)_point.Length);
            overview.Bytes(_point.Written);
        }
    }

    /// <summary>Whether the scans at the front of the source are these, bit for bit.</summary>
    public bool Holds(ref ByteSource source, ScanStack scans)
    {
        Prepare(scans.Count);
        ulong device = source.VarUInt(), points = source.VarUInt(), count = source.VarUInt();
        long unit = unchecked((long)source.VarUInt()), first = source.Int64();
        if (device != (ulong)scans.DeviceIndex || points != (ulong)scans.Points || count != (ulong)scans.Count)
        {
            return false;
        }

        Span<long> integers = _integers.AsSpan(0, scans.Count);
        Span<double> values = _values.AsSpan(0, scans.Count);
        ColumnCodec.Read(ref source, integers);
        bool same = true;
        for (int i = 0; i < integers.Length; i++)
        {
            same &= unchecked(first + integers[i] * unit) == scans.Times[i];
        }

        for (int point = 0; point < scans.Points && same; point++)
        {
            var column = new ByteSource(source.Bytes(source.Count()));
            same = CollectionsMarshal.AsSpan(scans.Runs(point)).SequenceEqual(ReadQualities(ref column, scans.Count));
            NumberColumn.Read(ref column, values, integers);
            same = same && !column.Failed && column.Left == 0
                && MemoryMarshal.AsBytes(values).SequenceEqual(MemoryMarshal.AsBytes(scans.Values(point))); // by bits: a NaN is like itself
        }

        return same && !source.Failed;
    }

    /// <summary>Reads the scans at the front of the source; null if they cannot be understood.</summary>
    public static ScanColumns? Read(ref ByteSource source)
    {
        ulong device = source.VarUInt(), points = source.VarUInt(), count = source.VarUInt(), unit = source.VarUInt();
        long first = source.Int64();
        // Each point takes at least some bytes; the scans may be constant and take none, so they have a limit of their own.
        if (device > int.MaxValue || points > (ulong)source.Left || count is 0 or > BlockCodec.MostEntries || unit is 0 or > long.MaxValue)
        {
            source.Fail();
            return null;
        }

        var integers = new long[count];
        ColumnCodec.Read(ref source, integers);
        var times = new Timestamp[count];
        for (int i = 0; i < times.Length; i++)
        {
            times[i] = new Timestamp(unchecked(first + integers[i] * (long)unit));
        }

        var values = new double[points][];
        var qualities = new QualityRun[points][];
        for (int point = 0; point < (int)points && !source.Failed; point++)
        {
            var column = new ByteSource(source.Bytes(source.Count()));
            qualities[point] = ReadQualities(ref column, (int)count);
            values[point] = new double[count];
            NumberColumn.Read(ref column, values[point], integers);
            if (column.Failed || column.Left > 0)
            {
                source.Fail();
            }
        }

        return source.Failed ? null : new ScanColumns((int)device, times, values, qualities);
    }

    private void Prepare(int count)
    {
        if (_integers.Length < count)
        {
            (_integers, _values) = (new long[count], new double[count]);
        }
    }

    /// <summary>Times are held in the largest unit that divides all their distances: an instrument polled by the millisecond costs no more.</summary>
    private void WriteHead(ByteSink sink, ScanStack scans)
    {
        ReadOnlySpan<long> times = scans.Times;
        long first = times[0];
        ulong unit = 0, farthest = 0;
        foreach (long time in times)
        {
            var distance = (ulong)Int128.Abs((Int128)time - first);
            unit = unit == 0 || distance % unit != 0 ? GreatestCommonDivisor(unit, distance) : unit;
            farthest = Math.Max(farthest, distance);
        }

        // Distances beyond an i64 come from absurd times only; in single ticks they wrap, and come back by wrapping.
        unit = unit == 0 || farthest > long.MaxValue ? 1 : unit;
        sink.VarUInt((ulong)scans.DeviceIndex);
        sink.VarUInt((ulong)scans.Points);
        sink.VarUInt((ulong)times.Length);
        sink.VarUInt(unit);
        sink.Int64(first);
        for (int i = 0; i < times.Length; i++)
        {
            _integers[i] = unchecked(times[i] - first) / (long)unit;
        }

        _columns.Write(sink, _integers.AsSpan(0, times.Length));
    }

    private static QualityRun[] ReadQualities(ref ByteSource source, int count)
    {
        List<QualityRun> runs = [];
        while (count > 0 && !source.Failed)
        {
            ulong length = source.VarUInt();
            if (length == 0 || length > (ulong)count)
            {
                source.Fail();
                break;
            }

            runs.Add(new QualityRun(QualityCode.From(source.Byte()), (int)length));
            count -= (int)length;
        }

        return [.. runs];
    }

    private static ulong GreatestCommonDivisor(ulong a, ulong b)
    {
        while (b != 0)
        {
            (a, b) = (b, a % b);
        }

        return a;
    }
}
