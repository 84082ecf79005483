using CsCheck;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Signals.Filters;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class ChannelFilterTests
{
    [Fact]
    public void Median_comes_one_reading_late_and_carries_the_raw_one()
    {
        var filter = new ChannelFilter(new FilterDefinition(FilterKind.MedianOfThree), 0.1);
        Assert.Null(filter.Offer(At(0, 10)));
        Assert.Null(filter.Offer(At(0.1, 90)));
        Assert.Equal(new Filtered(At(0.1, 90), 12, FilterKind.MedianOfThree), filter.Offer(At(0.2, 12)));
        Assert.Equal(new Filtered(At(0.2, 12), 13, FilterKind.MedianOfThree), filter.Offer(At(0.3, 13)));
    }

    // 50 Hz and 60 Hz together have whole periods in 100 ms only: 20 readings at 200 a second.
    [Fact]
    public void Mains_average_takes_out_both_frequencies()
    {
        var filter = new ChannelFilter(new FilterDefinition(FilterKind.MainsAverage) { MainsHertz = [50, 60] }, 0.005);
        Filtered? last = null;
        for (int i = 0; i < 40; i++)
        {
            double t = i * 0.005;
            last = filter.Offer(At(t, 200 + (5 * Math.Sin(2 * Math.PI * 50 * t)) + (3 * Math.Cos(2 * Math.PI * 60 * t))));
            Assert.Equal(i < 19, last is null);
        }

        Assert.Equal(FilterKind.MainsAverage, last!.Value.Kind);
        Assert.Equal(200, last.Value.Value, 1e-9);
    }

    [Fact]
    public void Fitted_value_speaks_of_the_middle_and_says_when_it_cannot()
    {
        var filter = new ChannelFilter(new FilterDefinition(FilterKind.SavitzkyGolay) { Window = 5, Order = 2 }, 1);
        Filtered? last = null;
        for (int i = 0; i < 5; i++) last = filter.Offer(At(i, 3 + (2 * i) + (0.5 * i * i)));
        Assert.Equal((FilterKind.SavitzkyGolay, Start.AddSeconds(2)), (last!.Value.Kind, last.Value.Raw.Time));
        Assert.Equal(3 + 4 + 2, last.Value.Value, 1e-9); // exact on a parabola

        Filtered afterHole = filter.Offer(Reading.Bad(Start.AddSeconds(5), QualityReason.NoCommunication))!.Value;
        Assert.Equal(Filtered.Untouched(At(3, 3 + 6 + 4.5)), afterHole);
    }

    [Theory]
    [InlineData(FilterKind.MainsAverage, 0.1, "100 ms for 50 and 60 Hz")]
    [InlineData(FilterKind.MainsAverage, 0.0099, "too slow, or hold no whole")]
    [InlineData(FilterKind.None, 0.1, "leave it out")]
    [InlineData(FilterKind.SavitzkyGolay, 0.1, "odd")]
    public void Filter_that_cannot_work_says_why(FilterKind kind, double periodSeconds, string reason)
    {
        var definition = new FilterDefinition(kind) { MainsHertz = [50], Window = 4, Order = 2 };
        Assert.Contains(reason, definition.FaultAt(periodSeconds), StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => new ChannelFilter(definition, periodSeconds));
    }

    [Fact]
    public void Filtered_value_is_a_number_exactly_when_the_raw_reading_has_one() =>
        Gen.Select(Gen.Int[0, 2], Gen.Double[-50, 300].Array[3, 30], Gen.Int[0, 6].Array[30]).Sample((kind, values, holes) =>
        {
            FilterDefinition definition = kind switch
            {
                0 => new FilterDefinition(FilterKind.MedianOfThree),
                1 => new FilterDefinition(FilterKind.MainsAverage) { MainsHertz = [50] },
                _ => new FilterDefinition(FilterKind.SavitzkyGolay) { Window = 5, Order = 3 },
            };
            var filter = new ChannelFilter(definition, 0.005);
            for (int i = 0; i < values.Length; i++)
            {
                Reading reading = holes[i] == 0 ? Reading.Bad(Start.AddSeconds(i * 0.005), QualityReason.Garbled) : At(i * 0.005, values[i]);
                if (filter.Offer(reading) is { } filtered) Assert.Equal(filtered.Raw.Quality.HasValue, !double.IsNaN(filtered.Value));
            }
        });

    private static Reading At(double seconds, double value) => new(Start.AddSeconds(seconds), value, SignalQuality.Good);
}
