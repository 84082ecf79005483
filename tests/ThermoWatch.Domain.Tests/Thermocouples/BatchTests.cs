using CsCheck;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Thermocouples;

public class BatchTests
{
    public static TheoryData<char> Letters => [.. Thermocouple.Letters];

    /// <summary>Every width that this processor has; the narrower ones must give the same bits.</summary>
    private static IEnumerable<CubicTable.Width> Widths =>
        Enum.GetValues<CubicTable.Width>().Where(width => width <= CubicTable.Widest);

    [Theory]
    [MemberData(nameof(Letters))]
    public void Batch_of_every_width_gives_the_bits_of_one_at_a_time(char letter)
    {
        Thermocouple type = Thermocouple.Of(letter);
        double span = type.HighestMillivolts - type.LowestMillivolts;

        // A little beyond both ends, cold junctions beyond the table, no numbers, and lengths that leave a rest in every width.
        Gen<double> emf = Gen.Frequency(
            (20, Gen.Double[type.LowestMillivolts - (0.02 * span), type.HighestMillivolts + (0.02 * span)]),
            (1, OneOf(double.NaN, double.PositiveInfinity, double.NegativeInfinity, 0, type.LowestMillivolts, type.HighestMillivolts)));
        Gen<double> coldJunction = Gen.Frequency(
            (20, Gen.Double[-10, 60]), (1, Gen.Double[-300, 400]), (1, OneOf(double.NaN, 0, 128, -64)));
        Gen.Select(emf, coldJunction).Array[0, 1100].Sample(
            rows =>
            {
                double[] millivolts = Array.ConvertAll(rows, row => row.Item1);
                double[] junctions = Array.ConvertAll(rows, row => row.Item2);
                long[] expected = Array.ConvertAll(rows, row => Bits(type.ToCelsius(row.Item1, row.Item2).Value));
                double[] actual = new double[rows.Length];
                foreach (CubicTable.Width width in Widths)
                {
                    type.ToCelsius(millivolts, junctions, actual, width);
                    Assert.Equal(expected, Array.ConvertAll(actual, Bits));
                }
            },
            iter: 60,
            threads: 1);
    }

    [Theory]
    [MemberData(nameof(Letters))]
    public void One_cold_junction_for_all_gives_the_bits_of_one_at_a_time(char letter)
    {
        Thermocouple type = Thermocouple.Of(letter);
        double[] millivolts = [.. Enumerable.Range(0, 1031).Select(i => type.LowestMillivolts + ((type.HighestMillivolts - type.LowestMillivolts) * i / 1000.0))];
        foreach (double junction in new[] { 27.31, -70.5, 2000, double.NaN })
        {
            long[] expected = Array.ConvertAll(millivolts, emf => Bits(type.ToCelsius(emf, junction).Value));
            foreach (CubicTable.Width width in Widths)
            {
                double[] actual = new double[millivolts.Length];
                type.ToCelsius(millivolts, junction, actual, width);
                Assert.Equal(expected, Array.ConvertAll(actual, Bits));
            }
        }
    }

    [Fact]
    public void Result_may_take_the_place_of_the_input()
    {
        double[] values = [8.949798, 8.132912];
        Thermocouple.K.ToCelsius(values, [25, 45], values);
        Assert.Equal(245.0, values[0], tolerance: 1e-4);
        Assert.Equal(245.0, values[1], tolerance: 1e-4);
    }

    [Fact]
    public void Columns_of_different_length_are_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Thermocouple.K.ToCelsius([1, 2], [25], new double[2]));
        Assert.Throws<ArgumentOutOfRangeException>(() => Thermocouple.K.ToCelsius([1, 2], [25, 25], new double[1]));
        Assert.Throws<ArgumentOutOfRangeException>(() => Thermocouple.K.ToCelsius([1, 2], 25, new double[1]));
    }

    [Fact]
    public void Batch_allocates_nothing()
    {
        double[] millivolts = new double[2000];
        double[] junctions = new double[2000];
        Thermocouple.K.ToCelsius(millivolts, junctions, millivolts);
        long before = GC.GetAllocatedBytesForCurrentThread();
        Thermocouple.K.ToCelsius(millivolts, junctions, millivolts);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    private static Gen<double> OneOf(params double[] values) => Gen.Int[0, values.Length - 1].Select(i => values[i]);

    // All NaN are one here: which payload a NaN carries is the processor's business.
    private static long Bits(double value) => double.IsNaN(value) ? BitConverter.DoubleToInt64Bits(double.NaN) : BitConverter.DoubleToInt64Bits(value);
}
