using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Signals.Filters;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class FilterTests
{
    [Theory]
    [InlineData(10, 99, 12, 12)] // a spike up
    [InlineData(10, -99, 12, 10)] // a spike down
    [InlineData(10, 11, 12, 11)] // a slope stays
    [InlineData(10, 50, 50, 50)] // an edge stays
    public void Median_takes_out_a_single_spike_and_nothing_else(double previous, double current, double next, double filtered)
    {
        Reading raw = At(1, current);
        Filtered result = MedianOfThree.Of(At(0, previous), raw, At(2, next));
        Assert.Equal(new Filtered(raw, filtered, FilterKind.MedianOfThree), result);
    }

    [Fact]
    public void Median_invents_nothing_beside_a_hole()
    {
        Reading hole = Reading.Bad(Start, QualityReason.NoCommunication);
        Assert.Equal(Filtered.Untouched(At(1, 99)), MedianOfThree.Of(hole, At(1, 99), At(2, 12)));
        Assert.Equal(Filtered.Untouched(At(1, 99)), MedianOfThree.Of(At(0, 10), At(1, 99), hole));
        Assert.Equal(FilterKind.None, MedianOfThree.Of(At(0, 10), hole, At(2, 12)).Kind);
    }

    // reference/process/sg_coefficients.csv: Savitzky and Golay 1964, and weights recomputed in exact fractions.
    [Fact]
    public void Savitzky_Golay_weights_are_the_published_ones()
    {
        foreach (ReferenceRow row in ReferenceRow.All("process/sg_coefficients.csv"))
        {
            int window = (int)row.Number("window");
            int position = row.Text("position") == "newest" ? window - 1 : window / 2;
            var filter = new SavitzkyGolay(window, (int)row.Number("poly_order"), (int)row.Number("derivative"), position);
            double[] published = Array.ConvertAll(
                row.Text("coefficients_oldest_first").Split(' '),
                text => double.Parse(text, System.Globalization.CultureInfo.InvariantCulture) / row.Number("divisor"));
            Assert.Equal(published.Length, filter.Weights.Count);
            for (int i = 0; i < window; i++) Assert.Equal(published[i], filter.Weights[i], tolerance: 1e-12);
        }
    }

    [Theory]
    [InlineData(0, 3.5 + (2 * 0.8) + (0.5 * 0.64))]
    [InlineData(1, 2 + (2 * 0.5 * 0.8))]
    [InlineData(2, 1.0)]
    public void Savitzky_Golay_is_exact_on_a_parabola_at_the_newest_reading(int derivative, double expected)
    {
        Reading[] window = [.. Enumerable.Range(0, 5).Select(i => At(0.2 * i, 3.5 + (2 * 0.2 * i) + (0.5 * 0.04 * i * i)))];
        Converted result = new SavitzkyGolay(5, 2, derivative, 4).At(window);
        Assert.Equal(SignalQuality.Good, result.Quality);
        Assert.Equal(expected, result.Value, tolerance: 1e-9);
    }

    [Fact]
    public void Savitzky_Golay_refuses_holes_and_uneven_steps()
    {
        var slope = new SavitzkyGolay(5, 2, 1, 2);
        Assert.Equal(2, slope.Position);
        Reading[] even = [.. Enumerable.Range(0, 5).Select(i => At(i, i))];
        Assert.Equal(1, slope.At(even).Value, tolerance: 1e-12);
        Assert.Equal(Converted.Bad(QualityReason.OpenCircuit), slope.At([.. even[..4], Reading.Bad(Start.AddSeconds(4), QualityReason.OpenCircuit)]));
        Assert.Equal(Converted.Bad(QualityReason.Stale), slope.At([even[0], even[1], At(2.2, 2), even[3], even[4]]));
        Assert.Equal(Converted.Bad(QualityReason.OutOfOrder), slope.At([even[0], even[0], even[0], even[0], even[0]]));
        Assert.Throws<ArgumentOutOfRangeException>(() => slope.At(even.AsSpan(1)));
    }

    [Theory]
    [InlineData(2, 2, 0, 0)]
    [InlineData(5, 2, 3, 0)]
    [InlineData(5, 2, 1, 5)]
    [InlineData(5, 2, 1, -1)]
    [InlineData(9, 6, 1, 0)]
    public void Savitzky_Golay_that_cannot_be_is_refused(int window, int order, int derivative, int position) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new SavitzkyGolay(window, order, derivative, position));

    [Theory]
    [InlineData(1000, 50, 20)] // 20 ms
    [InlineData(600, 60, 10)] // 16.67 ms
    [InlineData(360, 50, 36)] // 100 ms, as 7.2 readings a period need five periods
    public void Mains_average_spans_whole_periods(double samplesPerSecond, double hertz, int length) =>
        Assert.Equal(length, MainsAverage.For(samplesPerSecond, hertz)!.Length);

    [Fact]
    public void Mains_average_for_both_frequencies_takes_a_tenth_of_a_second() =>
        Assert.Equal(100, MainsAverage.For(1000, 50, 60)!.Length);

    [Theory]
    [InlineData(10)] // 50 Hz has become a constant
    [InlineData(100)] // twice the mains: may have become nothing, or everything
    [InlineData(double.NaN)]
    public void Readings_too_slow_for_the_mains_cannot_be_averaged_clean(double samplesPerSecond) =>
        Assert.Null(MainsAverage.For(samplesPerSecond, 50));

    [Fact]
    public void Mains_average_leaves_the_temperature_and_takes_the_pickup()
    {
        MainsAverage average = MainsAverage.For(500, 50)!;
        Reading[] readings = [.. Enumerable.Range(0, 37).Select(i => At(i / 500.0, 245 + (24.6 * Math.Sin(2 * Math.PI * 50 * i / 500))))];
        Filtered filtered = average.At(readings);
        Assert.Equal(245, filtered.Value, tolerance: 1e-9);
        Assert.Equal(FilterKind.MainsAverage, filtered.Kind);
        Assert.Equal(readings[^1], filtered.Raw);
    }

    [Fact]
    public void Mains_average_over_a_hole_or_a_late_reading_leaves_the_reading_as_it_is()
    {
        MainsAverage average = MainsAverage.For(500, 50)!;
        Reading[] readings = [.. Enumerable.Range(0, 10).Select(i => At(i / 500.0, i))];
        Assert.Equal(FilterKind.MainsAverage, average.At(readings).Kind);
        Assert.Equal(Filtered.Untouched(readings[8]), average.At(readings.AsSpan(0, 9)));
        Assert.Equal(FilterKind.None, average.At([]).Kind);
        Reading[] late = [.. readings[..9], At(10 / 500.0, 9)];
        Assert.Equal(Filtered.Untouched(late[^1]), average.At(late));
        Reading[] hole = [.. readings];
        hole[4] = Reading.Bad(hole[4].Time, QualityReason.NoCommunication);
        Assert.Equal(Filtered.Untouched(hole[^1]), average.At(hole));
    }

    // Computed from the rectangular window: 20 ms at 49.5 Hz 39.9 dB, 20 ms at 60 Hz 16.1 dB, 10 ms at 50 Hz 3.9 dB.
    [Theory]
    [InlineData(0.020, 49.5, 39.9)]
    [InlineData(0.020, 60, 16.1)]
    [InlineData(0.010, 50, 3.9)]
    public void Rejection_of_a_window_is_known(double seconds, double hertz, double decibels) =>
        Assert.Equal(decibels, MainsAverage.RejectionDecibels(seconds, hertz), tolerance: 0.05);

    private static Reading At(double seconds, double value) => new(Start.AddSeconds(seconds), value, SignalQuality.Good);
}
