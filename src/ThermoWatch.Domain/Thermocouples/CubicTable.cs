namespace ThermoWatch.Domain.Thermocouples;

/// <summary>A function as cubics between exact nodes of a uniform grid: value and slope are right at every node.</summary>
/// <remarks>
/// Between two nodes a cubic errs by at most h⁴/384 times the fourth derivative, so the step decides the error.
/// A node belongs to the cell below it, as the published functions say of their joins: a cold junction at exactly 0 °C is 0 mV.
/// </remarks>
internal sealed partial class CubicTable
{
    /// <summary>Coefficients of one cell: value, and first, second and third power of the fraction of the cell.</summary>
    internal const int Row = 4;

    private readonly double[] _rows;

    /// <param name="low">Where the first cell begins.</param>
    /// <param name="cellsPerUnit">Cells in one unit of the argument: a power of two, so that the cell's number is exact.</param>
    /// <param name="count">Number of cells.</param>
    /// <param name="nodeAt">Value and slope; asked from both sides of each node, as the function may have corners there.</param>
    /// <param name="isSmooth">Whether the function has no corner strictly inside this stretch. A cell with one gives NaN.</param>
    public CubicTable(
        double low,
        double cellsPerUnit,
        int count,
        Func<double, Side, (double Value, double Slope)> nodeAt,
        Func<double, double, bool> isSmooth)
    {
        Low = low;
        CellsPerUnit = cellsPerUnit;
        Count = count;
        _rows = new double[count * Row];
        double step = 1 / cellsPerUnit;
        for (int i = 0; i < count; i++)
        {
            double from = low + (i * step);
            double to = low + ((i + 1) * step);
            (double v0, double s0) = nodeAt(from, Side.Above);
            (double v1, double s1) = nodeAt(to, Side.Below);
            double rise = v1 - v0;
            Span<double> row = _rows.AsSpan(i * Row, Row);
            row[0] = isSmooth(from, to) ? v0 : double.NaN;
            row[1] = s0 * step;
            row[2] = (3 * rise) - (((2 * s0) + s1) * step);
            row[3] = ((s0 + s1) * step) - (2 * rise);
        }
    }

    /// <summary>From which side a node is looked at.</summary>
    internal enum Side
    {
        /// <summary>As the end of the cell below it.</summary>
        Below,

        /// <summary>As the beginning of the cell above it.</summary>
        Above,
    }

    internal double Low { get; }

    internal double CellsPerUnit { get; }

    internal int Count { get; }

    /// <summary>The function's value; NaN where the table has no answer: up to its low end, beyond its high end, at NaN, and in cells with a corner.</summary>
    public double At(double argument)
    {
        double position = (argument - Low) * CellsPerUnit;
        if (!(position > 0 && position <= Count)) return double.NaN;
        int cell = (int)Math.Ceiling(position) - 1;
        double fraction = position - cell;
        ReadOnlySpan<double> row = _rows.AsSpan(cell * Row, Row);
        return Math.FusedMultiplyAdd(
            Math.FusedMultiplyAdd(Math.FusedMultiplyAdd(row[3], fraction, row[2]), fraction, row[1]), fraction, row[0]);
    }
}
