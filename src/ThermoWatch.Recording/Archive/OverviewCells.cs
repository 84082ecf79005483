using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Archive;

/// <summary>Cuts a column of scans into cells of whole ten seconds and whole ten minutes of UTC, and tells each cell's least, most and mean.</summary>
/// <remarks>Because cells lie on a fixed grid, those of neighbouring blocks add up exactly and no value is in two of them.</remarks>
internal sealed class OverviewCells
{
    /// <summary>Ticks in a cell of the two levels, coarse first.</summary>
    public static readonly long[] LevelTicks = [600 * TimeSpan.TicksPerSecond, 10 * TimeSpan.TicksPerSecond];

    private readonly List<(long Cell, int Start, int Count)>[] _levels;

    private OverviewCells(List<(long Cell, int Start, int Count)>[] levels) => _levels = levels;

    /// <summary>Cuts by time. Times that go back begin a new cell of the same number.</summary>
    public static OverviewCells Of(ReadOnlySpan<long> times)
    {
        var levels = new List<(long Cell, int Start, int Count)>[LevelTicks.Length];
        for (int level = 0; level < levels.Length; level++)
        {
            List<(long Cell, int Start, int Count)> cells = levels[level] = [];
            for (int i = 0; i < times.Length; i++)
            {
                long cell = FloorDivide(times[i], LevelTicks[level]);
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
            var counts = new long[level.Count];
            double[] least = new double[level.Count], most = new double[level.Count], mean = new double[level.Count];
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
