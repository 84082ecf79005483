using ThermoWatch.Acquisition.Polling;

namespace ThermoWatch.Acquisition.Tests.Polling;

public sealed class BackoffTests
{
    [Fact]
    public void Pauses_double_up_to_the_cap_and_vary_by_half()
    {
        var backoff = new Backoff(TimeSpan.FromMilliseconds(100), TimeSpan.FromSeconds(5), new Random(7));
        double nominal = 100;
        for (int i = 0; i < 1000; i++)
        {
            Assert.InRange(backoff.Next().TotalMilliseconds, nominal / 2, nominal);
            nominal = Math.Min(5000, nominal * 2);
        }

        backoff.Reset();
        Assert.InRange(backoff.Next().TotalMilliseconds, 50, 100);
    }
}
