namespace ThermoWatch.Acquisition.Tests;

public sealed class ClockWatchTests
{
    private readonly SteppingTime _time = new(new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero));

    [Theory]
    [InlineData(3600)]
    [InlineData(-3600)]
    [InlineData(0.15)]
    [InlineData(-0.15)]
    public void A_step_is_told_once_with_its_size(double seconds)
    {
        var watch = new ClockWatch(new AnchoredClock(_time), _time);
        _time.Advance(TimeSpan.FromSeconds(1));
        Assert.Null(watch.Look());
        _time.StepWallClock(TimeSpan.FromSeconds(seconds));
        _time.Advance(TimeSpan.FromSeconds(1));
        Assert.Equal(TimeSpan.FromSeconds(seconds), watch.Look());
        Assert.Null(watch.Look());
    }

    [Fact]
    public void A_clock_that_is_slewed_into_place_is_no_step()
    {
        var watch = new ClockWatch(new AnchoredClock(_time), _time);
        for (int second = 0; second < 3600; second++)
        {
            _time.Advance(TimeSpan.FromSeconds(1));
            _time.StepWallClock(TimeSpan.FromMilliseconds(0.5)); // the fastest that an operating system slews: 500 ppm
            Assert.Null(watch.Look());
        }
    }

    [Fact]
    public void A_thread_that_was_held_up_between_two_clocks_sees_no_step()
    {
        var watch = new ClockWatch(new AnchoredClock(_time), _time);
        _time.BetweenReadings = TimeSpan.FromMilliseconds(300);
        Assert.Null(watch.Look());
        _time.BetweenReadings = TimeSpan.Zero;
        Assert.Null(watch.Look());
    }
}
