using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Domain.Engine;
using static ThermoWatch.Acquisition.Polling.HealthEvent;

namespace ThermoWatch.Acquisition.Tests.Polling;

public sealed class DeviceHealthTests
{
    [Fact]
    public void Only_an_answer_brings_a_device_up_and_it_always_does() => Assert.All(Pairs, pair =>
    {
        DeviceState next = DeviceHealth.Steps.GetValueOrDefault(pair, pair.State);
        if (pair.What == Answered) Assert.Equal(DeviceState.Up, next);
        else if (pair.State != DeviceState.Up) Assert.NotEqual(DeviceState.Up, next);
    });

    [Fact]
    public void Nothing_but_an_answer_leaves_down() => Assert.All(Pairs.Where(p => p.State == DeviceState.Down && p.What is not (Answered or Disturbed)), pair =>
        Assert.Equal(DeviceState.Down, DeviceHealth.Steps.GetValueOrDefault(pair, pair.State)));

    [Fact]
    public void A_device_goes_down_after_as_many_misses_as_set()
    {
        var health = new DeviceHealth(3);
        health.Apply(Answered);
        Assert.True(health.Apply(Missed, "silent"));
        Assert.Equal((DeviceState.Suspect, "silent"), (health.State, health.Reason));
        Assert.False(health.Apply(Missed, "silent"));
        Assert.True(health.Apply(Missed, "silent"));
        Assert.Equal(DeviceState.Down, health.State);
    }

    [Fact]
    public void An_answer_between_starts_the_count_anew()
    {
        var health = new DeviceHealth(2);
        for (int i = 0; i < 10; i++)
        {
            health.Apply(Answered);
            health.Apply(Missed, "silent");
            Assert.Equal(DeviceState.Suspect, health.State);
        }
    }

    [Fact]
    public void An_outage_is_told_once_for_each_reason()
    {
        var health = new DeviceHealth(3);
        Assert.True(health.Apply(ConnectFailed, "refused"));
        for (int i = 0; i < 100; i++) Assert.False(health.Apply(ConnectFailed, "refused"));
        Assert.True(health.Apply(ConnectFailed, "no route"));
        Assert.False(health.Apply(ConnectFailed, "refused"));
        Assert.True(health.Apply(Answered));
        Assert.Equal("", health.Reason);
        Assert.True(health.Apply(ConnectFailed, "refused"));
    }

    [Fact]
    public void A_second_talker_is_told_once_while_the_device_answers()
    {
        var health = new DeviceHealth(3);
        health.Apply(Answered);
        Assert.True(health.Apply(Disturbed, "another master"));
        Assert.Equal((DeviceState.Suspect, "another master"), (health.State, health.Reason));
        for (int i = 0; i < 10; i++) Assert.False(health.Apply(Disturbed, "another master"));
        Assert.True(health.Apply(Answered));
        Assert.Equal(DeviceState.Up, health.State);
    }

    private static IEnumerable<(DeviceState State, HealthEvent What)> Pairs =>
        from state in Enum.GetValues<DeviceState>() from what in Enum.GetValues<HealthEvent>() select (state, what);
}
