using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Archive;

/// <summary>The scans of one device to bytes and back. FORMAT.md draws the bytes.</summary>
internal sealed class ScanColumnsCodec
{
    private readonly ColumnCodec _columns = new();
    private readonly NumberColumn _numbers = new();
    private readonly ByteSink _point = new();
    private long[] _times = [];
    private double[] _values = [];

    /// <summary>Writes scans that all are of one device and have the same number of points, and their overview.</summary>
    public void Write(ByteSink sink, ByteSink overview, IReadOnlyList<RawScan> scans)
    {
        int points = scans[0].Values.Length;
        if (_times.Length != scans.Count)
        {
            (_times, _values) = (new long[scans.Count], new double[scans.Count]);
        }

        for (int i = 0; i < scans.Count; i++)
        {
            _times[i] = scans[i].Time.UtcTicks;
        }

        var cells = OverviewCells.Of(_times);
        cells.WriteHead(overview, _columns, scans[0].DeviceIndex, points);
        WriteHead(sink, scans[0].DeviceIndex, points, scans.Count);
        for (int point = 0; point < points; point++)
        {
            for (int i = 0; i < scans.Count; i++)
            {
                _values[i] = scans[i].Values[point];
            }

            _point.Clear();
            WriteQualities(_point, scans, point);
            NumberForm form = _numbers.Write(_point, _values);
            sink.VarUInt((ulong)_point.Length);
            sink.Bytes(_point.Written);

            _point.Clear();
            cells.WritePoint(_point, _columns, _numbers, _values, form);
            overview.VarUInt((ulong)_point.Length);
            overview.Bytes(_point.Written);
        }
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

    /// <summary>Times are held in the largest unit that divides all their distances: an instrument polled by the millisecond costs no more.</summary>
    private void WriteHead(ByteSink sink, int device, int points, int count)
    {
        long first = _times[0];
        ulong unit = 0, farthest = 0;
        foreach (long time in _times)
        {
            var distance = (ulong)Int128.Abs((Int128)time - first);
            unit = GreatestCommonDivisor(unit, distance);
            farthest = Math.Max(farthest, distance);
        }

        // Distances beyond an i64 come from absurd times only; in single ticks they wrap, and come back by wrapping.
        unit = unit == 0 || farthest > long.MaxValue ? 1 : unit;
        sink.VarUInt((ulong)device);
        sink.VarUInt((ulong)points);
        sink.VarUInt((ulong)count);
        sink.VarUInt(unit);
        sink.Int64(first);
        for (int i = 0; i < _times.Length; i++)
        {
            _times[i] = unchecked(_times[i] - first) / (long)unit;
        }

        _columns.Write(sink, _times);
    }

    private static void WriteQualities(ByteSink sink, IReadOnlyList<RawScan> scans, int point)
    {
        for (int start = 0; start < scans.Count;)
        {
            byte code = QualityCode.Of(scans[start].Qualities[point]);
            int end = start + 1;
            while (end < scans.Count && QualityCode.Of(scans[end].Qualities[point]) == code)
            {
                end++;
            }

            sink.VarUInt((ulong)(end - start));
            sink.Byte(code);
            start = end;
        }
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
