using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Tests.Hosting;

public sealed class ScaledTimeProviderTests
{
    [Theory]
    [InlineData(0.5)]
    [InlineData(8)]
    public void Clock_and_timers_go_at_the_given_speed(double speed)
    {
        var real = new FakeTimeProvider();
        var scaled = new ScaledTimeProvider(real, speed);
        DateTimeOffset start = scaled.GetUtcNow();
        long startStamp = scaled.GetTimestamp();
        int fired = 0;
        using ITimer timer = scaled.CreateTimer(_ => fired++, null, TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1));
        real.Advance(TimeSpan.FromSeconds(4 / speed));
        Assert.Equal(4, (scaled.GetUtcNow() - start).TotalSeconds, 6);
        Assert.Equal(4, scaled.GetElapsedTime(startStamp).TotalSeconds, 6);
        Assert.Equal(4, fired);
    }
}
