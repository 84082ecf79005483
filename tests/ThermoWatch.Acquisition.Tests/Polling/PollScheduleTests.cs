using CsCheck;
using ThermoWatch.Acquisition.Polling;

namespace ThermoWatch.Acquisition.Tests.Polling;

public sealed class PollScheduleTests
{
    private const long Ms = TimeSpan.TicksPerMillisecond;

    [Fact]
    public void Polls_keep_their_grid_however_long_they_take()
    {
        PollSchedule schedule = One(100);
        Assert.Equal(0, schedule.Done(0, 99 * Ms));
        Assert.Equal(100 * Ms, schedule.Due(0));
        Assert.Equal(0, schedule.Done(0, 103 * Ms));
        Assert.Equal(200 * Ms, schedule.Due(0));
    }

    [Fact]
    public void Slots_that_passed_are_counted_and_left_out()
    {
        PollSchedule schedule = One(100);
        Assert.Equal(2, schedule.Done(0, 350 * Ms)); // the slots of 100 and 200; that of 300 is running and used late
        Assert.Equal(300 * Ms, schedule.Due(0));
        Assert.Equal(2, schedule.Late(0));
    }

    [Fact]
    public void A_deferred_device_leaves_the_bus_to_the_others_and_is_not_late()
    {
        var schedule = new PollSchedule([TimeSpan.FromMilliseconds(100), TimeSpan.FromMilliseconds(100)], 0);
        schedule.Defer(0, 1000 * Ms);
        for (int i = 0; i < 9; i++)
        {
            Assert.Equal(1, schedule.Next(out long due));
            Assert.Equal(0, schedule.Done(1, due + Ms));
        }

        Assert.Equal(0, schedule.Late(0));
    }

    [Fact]
    public void Every_slot_is_either_polled_or_counted() => Gen.Long[1, 700].Array[1, 50].Sample(tookMs =>
    {
        PollSchedule schedule = One(100);
        long now = 0, polls = 0;
        foreach (long took in tookMs)
        {
            schedule.Next(out long due);
            now = Math.Max(now, due) + (took * Ms);
            polls++;
            schedule.Done(0, now);
        }

        return schedule.Due(0) == (polls + schedule.Late(0)) * 100 * Ms;
    });

    private static PollSchedule One(int periodMs) => new([TimeSpan.FromMilliseconds(periodMs)], 0);
}
