using System.Numerics;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Archive;

/// <summary>Cuts a column of scans into cells of whole ten seconds and whole ten minutes of UTC, and tells each cell's least, most and mean.</summary>
/// <remarks>Because cells lie on a fixed grid, those of neighbouring blocks add up exactly and no value is in two of them.</remarks>
internal sealed class OverviewCells
{
    /// <summary>Ticks in a cell of the two levels, coarse first.</summary>
    public static readonly long[] LevelTicks = [600 * TimeSpan.TicksPerSecond, 10 * TimeSpan.TicksPerSecond];

    private readonly List<(long Cell, int Start, int Count)>[] _levels;

    private readonly long[] _counts;
    private readonly double[] _least, _most, _mean;

    private OverviewCells(List<(long Cell, int Start, int Count)>[] levels)
    {
        _levels = levels;
        int most = levels.Max(level => level.Count);
        (_counts, _least, _most, _mean) = (new long[most], new double[most], new double[most], new double[most]);
    }

    /// <summary>Cuts by time. Times that go back begin a new cell of the same number.</summary>
    public static OverviewCells Of(ReadOnlySpan<long> times)
    {
        var levels = new List<(long Cell, int Start, int Count)>[LevelTicks.Length];
        for (int level = 0; level < levels.Length; level++)
        {
            List<(long Cell, int Start, int Count)> cells = levels[level] = [];
            long from = 0, to = 0; // ticks of the last cell: a division for each time would cost more than all the rest
            for (int i = 0; i < times.Length; i++)
            {
                if (times[i] >= from && times[i] < to)
                {
                    cells[^1] = (cells[^1].Cell, cells[^1].Start, cells[^1].Count + 1);
                    continue;
                }

                long cell = FloorDivide(times[i], LevelTicks[level]);
                (from, to) = unchecked((cell * LevelTicks[level], (cell + 1) * LevelTicks[level])); // an absurd time wraps, and then nothing lies between
                if (cells is [.., var last] && last.Cell == cell)
                {
                    cells[^1] = (cell, last.Start, last.Count + 1);
                }
                else
                {
                    cells.Add((cell, i, 1));
                }
            }
        }

        return new OverviewCells(levels);
    }

    /// <summary>Writes what the points of the device share: the cells of each level.</summary>
    public void WriteHead(ByteSink sink, ColumnCodec columns, int device, int points)
    {
        sink.VarUInt((ulong)device);
        sink.VarUInt((ulong)points);
        foreach (List<(long Cell, int Start, int Count)> level in _levels)
        {
            sink.VarUInt((ulong)level.Count);
            columns.Write(sink, [.. level.Select(cell => cell.Cell)]);
        }
    }

    /// <summary>Writes one point's cells: how many values have a number, and of those the least, most and mean.</summary>
    public void WritePoint(ByteSink sink, ColumnCodec columns, NumberColumn numbers, ReadOnlySpan<double> values, NumberForm form)
    {
        foreach (List<(long Cell, int Start, int Count)> level in _levels)
        {
            Span<long> counts = _counts.AsSpan(0, level.Count);
            Span<double> least = _least.AsSpan(0, level.Count), most = _most.AsSpan(0, level.Count), mean = _mean.AsSpan(0, level.Count);
            for (int i = 0; i < level.Count; i++)
            {
                (_, int start, int count) = level[i];
                (counts[i], least[i], most[i], mean[i]) = Summarise(values.Slice(start, count));
                mean[i] = NumberForms.Near(mean[i], form);
            }

            columns.Write(sink, counts);
            numbers.Write(sink, least);
            numbers.Write(sink, most);
            numbers.Write(sink, mean);
        }
    }

    private static (long Count, double Least, double Most, double Mean) Summarise(ReadOnlySpan<double> values)
    {
        // Four values at a time as long as all are numbers, which they nearly always are.
        int width = Vector<double>.Count;
        double least = double.PositiveInfinity, most = double.NegativeInfinity, sum = 0;
        int at = 0;
        if (values.Length >= width)
        {
            Vector<double> low = new(values), high = low, total = low;
            for (at = width; at + width <= values.Length; at += width)
            {
                var next = new Vector<double>(values[at..]);
                low = Vector.Min(low, next);
                high = Vector.Max(high, next);
                total += next;
            }

            sum = Vector.Sum(total);
            for (int i = 0; i < width; i++)
            {
                least = Math.Min(least, low[i]);
                most = Math.Max(most, high[i]);
            }
        }

        for (; at < values.Length; at++)
        {
            least = Math.Min(least, values[at]);
            most = Math.Max(most, values[at]);
            sum += values[at];
        }

        return double.IsFinite(sum) ? (values.Length, least, most, sum / values.Length) : SummariseNumbers(values);
    }

    /// <summary>The same for values of which some are not a number, or not finite.</summary>
    private static (long Count, double Least, double Most, double Mean) SummariseNumbers(ReadOnlySpan<double> values)
    {
        long count = 0;
        double least = double.PositiveInfinity, most = double.NegativeInfinity, sum = 0;
        foreach (double value in values)
        {
            if (!double.IsNaN(value))
            {
                count++;
                least = Math.Min(least, value);
                most = Math.Max(most, value);
                sum += value;
            }
        }

        return count == 0 ? (0, double.NaN, double.NaN, double.NaN) : (count, least, most, sum / count);
    }

    private static long FloorDivide(long a, long b) => a / b - (a % b < 0 ? 1 : 0);
}
