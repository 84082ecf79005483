using Microsoft.Win32.SafeHandles;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>Draws long spans together: from the cells of sealed blocks, and from the readings of what is not sealed yet.</summary>
internal sealed class OverviewReader(SegmentList segments, ScanReader scans)
{
    public Overview Read(int device, int point, Timestamp from, Timestamp to, int mostBuckets)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(mostBuckets, 2);
        ArgumentOutOfRangeException.ThrowIfLessThan(to, from);
        long width = WidthFor(to.UtcTicks - from.UtcTicks, mostBuckets, out int level);
        List<string> damaged = [];
        var buckets = new Buckets(from.UtcTicks / width, to.UtcTicks / width, width);
        if (level < 0)
        {
            foreach (ScanColumns columns in scans.Read(from, to, damaged.Add))
            {
                AddScans(buckets, columns, device, point);
            }

            return new Overview(new TimeSpan(width), buckets.Filled(), damaged);
        }

        long cellTicks = OverviewCells.LevelTicks[level];
        using var files = new OpenFiles();
        foreach (Segment piece in segments.All())
        {
            if (!segments.MayHold(piece, from, to))
            {
                continue;
            }

            if (piece.Sealed is not { } block)
            {
                foreach (ScanColumns columns in scans.ReadPiece(piece, from, to, damaged.Add))
                {
                    AddScans(buckets, columns, device, point);
                }
            }
            else
            {
                byte[]? bytes = block.ReadOverview(files.For(block), out string? problem);
                if (problem != SealedBlock.Removed && (bytes is null || !TryAddCells(buckets, bytes, block.Header.Sources, device, point, level, cellTicks)))
                {
                    damaged.Add(problem ?? "an overview cannot be understood");
                }
            }
        }

        return new Overview(new TimeSpan(width), buckets.Filled(), damaged);
    }

    /// <summary>The narrowest width that keeps to the number of buckets and is made of whole cells; level -1: of readings.</summary>
    private static long WidthFor(long span, int mostBuckets, out int level)
    {
        long wanted = Math.Max(1, span / (mostBuckets - 1) + 1); // one bucket less, as both ends may be cut by the grid
        for (level = 0; level < OverviewCells.LevelTicks.Length; level++)
        {
            long cell = OverviewCells.LevelTicks[level];
            if (wanted >= cell)
            {
                return (wanted + cell - 1) / cell * cell;
            }
        }

        level = -1;
        return wanted;
    }

    private static void AddScans(Buckets buckets, ScanColumns columns, int device, int point)
    {
        if (columns.DeviceIndex != device || point >= columns.Values.Length)
        {
            return;
        }

        double[] values = columns.Values[point];
        for (int i = 0; i < values.Length; i++)
        {
            if (!double.IsNaN(values[i]))
            {
                buckets.Add(columns.Times[i].UtcTicks, 1, values[i], values[i], values[i]);
            }
        }
    }

    private static bool TryAddCells(Buckets buckets, ReadOnlySpan<byte> bytes, int sources, int device, int point, int level, long cellTicks)
    {
        var source = new ByteSource(bytes);
        for (int i = 0; i < sources && !source.Failed; i++)
        {
            bool wanted = source.VarUInt() == (ulong)device;
            ulong points = source.VarUInt();
            Span<int> counts = [0, 0];
            long[] cells = [];
            for (int each = 0; each < counts.Length; each++)
            {
                ulong count = source.VarUInt();
                if (count > BlockCodec.MostEntries)
                {
                    return false;
                }

                counts[each] = (int)count;
                var column = new long[count];
                ColumnCodec.Read(ref source, column);
                cells = each == level ? column : cells;
            }

            for (ulong each = 0; each < points && !source.Failed; each++)
            {
                var column = new ByteSource(source.Bytes(source.Count()));
                if (wanted && each == (ulong)point && !TryAddPoint(buckets, ref column, counts, cells, level, cellTicks))
                {
                    return false;
                }
            }
        }

        return !source.Failed;
    }

    private static bool TryAddPoint(Buckets buckets, ref ByteSource source, scoped ReadOnlySpan<int> counts, long[] cells, int level, long cellTicks)
    {
        for (int each = 0; each <= level; each++)
        {
            var numbers = new long[counts[each]];
            var scratch = new long[counts[each]];
            double[] least = new double[counts[each]], most = new double[counts[each]], mean = new double[counts[each]];
            ColumnCodec.Read(ref source, numbers);
            NumberColumn.Read(ref source, least, scratch);
            NumberColumn.Read(ref source, most, scratch);
            NumberColumn.Read(ref source, mean, scratch);
            for (int i = 0; i < cells.Length && each == level && !source.Failed; i++)
            {
                if (numbers[i] > 0)
                {
                    buckets.Add(unchecked(cells[i] * cellTicks), numbers[i], least[i], most[i], mean[i]);
                }
            }
        }

        return !source.Failed;
    }

    /// <summary>Keeps the last file open: blocks come file by file.</summary>
    private sealed class OpenFiles : IDisposable
    {
        private string? _path;
        private SafeFileHandle? _handle;

        public SafeFileHandle? For(SealedBlock block)
        {
            if (_path != block.Path)
            {
                Dispose();
                try
                {
                    (_path, _handle) = (block.Path, block.Open());
                }
                catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
                {
                    (_path, _handle) = (null, null); // the block opens it once more and says what is wrong
                }
            }

            return _handle;
        }

        public void Dispose() => _handle?.Dispose();
    }

    /// <summary>Buckets being filled.</summary>
    private sealed class Buckets(long first, long last, long width)
    {
        private readonly (long Count, double Least, double Most, double Sum)[] _buckets = new (long, double, double, double)[last - first + 1];

        public void Add(long ticks, long count, double least, double most, double mean)
        {
            long index = ticks / width - first;
            if (ticks >= 0 && index >= 0 && index < _buckets.Length)
            {
                ref var bucket = ref _buckets[index];
                bucket = bucket.Count == 0
                    ? (count, least, most, mean * count)
                    : (bucket.Count + count, Math.Min(bucket.Least, least), Math.Max(bucket.Most, most), bucket.Sum + mean * count);
            }
        }

        public List<OverviewBucket> Filled()
        {
            List<OverviewBucket> filled = [];
            for (int i = 0; i < _buckets.Length; i++)
            {
                if (_buckets[i] is { Count: > 0 } bucket)
                {
                    filled.Add(new OverviewBucket(new Timestamp((first + i) * width), bucket.Count, bucket.Least, bucket.Most, bucket.Sum / bucket.Count));
                }
            }

            return filled;
        }
    }
}
