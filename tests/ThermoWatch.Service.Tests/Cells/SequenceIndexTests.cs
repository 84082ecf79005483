using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Tests.Cells;

public sealed class SequenceIndexTests
{
    private static readonly Timestamp Start = new(new DateTime(2026, 1, 1).Ticks);

    [Fact]
    public void A_moment_of_the_last_minutes_is_found_by_its_entry()
    {
        SequenceIndex index = new();
        Assert.Equal(0, index.At(Start));
        for (int i = 0; i < 1000; i++)
        {
            index.Add(Start.AddSeconds(i), 100 + (2 * i));
        }

        Assert.Equal(100 + (2 * 900), index.At(Start.AddSeconds(899.5)));
        Assert.Equal(100 + (2 * 900), index.At(Start.AddSeconds(900)));
        Assert.Equal(100 + (2 * 699), index.At(Start));
        Assert.Equal(100 + (2 * 999), index.At(Start.AddSeconds(2000)));
    }
}
