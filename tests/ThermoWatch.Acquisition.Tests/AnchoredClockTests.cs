using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests;

public sealed class AnchoredClockTests
{
    private static readonly DateTimeOffset Start = new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero);

    [Fact]
    public void A_step_of_the_wall_clock_moves_no_time()
    {
        var time = new SteppingTime(Start);
        var clock = new AnchoredClock(time);
        Timestamp before = clock.Now;
        time.StepWallClock(TimeSpan.FromHours(-1));
        time.Advance(TimeSpan.FromMilliseconds(100));
        Assert.Equal(TimeSpan.FromMilliseconds(100), clock.Now - before);
        Assert.Equal(TimeSpan.FromHours(-1), clock.WallClockAhead);
    }

    [Fact]
    public void Anchoring_anew_takes_the_step_unless_times_would_fall()
    {
        var time = new SteppingTime(Start);
        var clock = new AnchoredClock(time);
        time.StepWallClock(TimeSpan.FromMilliseconds(150));
        Assert.True(clock.TryAnchorAnew(clock.Now, out TimeSpan step));
        Assert.Equal(TimeSpan.FromMilliseconds(150), step);
        time.StepWallClock(TimeSpan.FromHours(-1));
        Timestamp latest = clock.Now;
        Assert.False(clock.TryAnchorAnew(latest, out step));
        Assert.Equal((TimeSpan.Zero, latest), (step, clock.Now));
    }

    [Fact]
    public void Time_of_a_scan_is_the_middle_of_the_exchange()
    {
        var time = new FakeTimeProvider(Start);
        var clock = new AnchoredClock(time);
        long sent = time.GetTimestamp();
        time.Advance(TimeSpan.FromMilliseconds(30));
        Assert.Equal(Timestamp.From(Start.AddMilliseconds(15)), clock.Middle(sent, time.GetTimestamp()));
    }

    [Fact]
    public void Ten_years_of_uptime_lose_no_tick()
    {
        var time = new FakeTimeProvider(Start);
        var clock = new AnchoredClock(time);
        var years = new TimeSpan((TimeSpan.TicksPerDay * 3652) + 1);
        time.Advance(years);
        Assert.Equal(Timestamp.From(Start) + years, clock.Now);
    }
}
