using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Thermocouples;

public class CubicTableTests
{
    private const double Low = -1.5;
    private const double High = 4;

    public static TheoryData<int> Widths => [.. Enum.GetValues<CubicTable.Width>().Where(width => width <= CubicTable.Widest).Select(width => (int)width)];

    // A cubic between nodes with the right values and slopes is that cubic: no error but rounding.
    [Fact]
    public void Table_of_a_cubic_is_that_cubic()
    {
        CubicTable table = Cubic();
        Assert.Equal(22, table.Count);
        for (double x = Low + 0.001; x <= High; x += 0.0097) Assert.Equal(Value(x), table.At(x), tolerance: 1e-12);
        Assert.Equal(Value(High), table.At(High), tolerance: 1e-12);
    }

    [Theory]
    [InlineData(Low)]
    [InlineData(Low - 0.1)]
    [InlineData(High + 1e-9)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    public void Outside_the_table_there_is_no_answer(double argument) => Assert.Equal(double.NaN, Cubic().At(argument));

    [Fact]
    public void Node_belongs_to_the_cell_below_it()
    {
        // A step at 1: 0 below, 5 above.
        var step = new CubicTable(0, 1, 2, (x, side) => (x > 1 || (x == 1 && side == CubicTable.Side.Above) ? 5 : 0, 0), (_, _) => true);
        Assert.Equal(0, step.At(1));
        Assert.Equal(5, step.At(Math.BitIncrement(1)), tolerance: 1e-12);
    }

    [Fact]
    public void Cell_with_a_corner_has_no_answer_and_its_neighbours_have()
    {
        var corner = new CubicTable(0, 1, 3, (x, _) => (x, 1), (from, to) => !(from < 1.5 && to > 1.5));
        Assert.Equal(0.5, corner.At(0.5), tolerance: 1e-15);
        Assert.Equal(double.NaN, corner.At(1.25));
        Assert.Equal(double.NaN, corner.At(2));
        Assert.Equal(2.5, corner.At(2.5), tolerance: 1e-15);
    }

    [Theory]
    [MemberData(nameof(Widths))]
    public void Batch_says_whether_the_table_answered_everything(int lanes)
    {
        CubicTable table = Cubic();
        double[] arguments = [.. Enumerable.Range(1, 37).Select(i => Low + (0.1 * i))];
        double[] values = new double[arguments.Length];
        Assert.True(table.At(arguments, values, (CubicTable.Width)lanes));
        Assert.Equal(Array.ConvertAll(arguments, table.At), values);
        for (int hole = 0; hole < arguments.Length; hole++)
        {
            double kept = arguments[hole];
            arguments[hole] = hole % 2 == 0 ? High + 1 : double.NaN;
            Assert.False(table.At(arguments, values, (CubicTable.Width)lanes));
            Assert.Equal(double.NaN, values[hole]);
            arguments[hole] = kept;
        }

        Assert.Throws<ArgumentOutOfRangeException>(() => table.At(arguments, values.AsSpan(1), (CubicTable.Width)lanes));
    }

    private static CubicTable Cubic() => new(Low, 4, 22, (x, _) => (Value(x), Slope(x)), (_, _) => true);

    private static double Value(double x) => 0.5 + (x * (1.25 + (x * (-0.75 + (x * 0.3)))));

    private static double Slope(double x) => 1.25 + (x * (-1.5 + (x * 0.9)));
}
