namespace ThermoWatch.Feeds;

/// <summary>How long to wait after a failure: twice as long each time, less a random part, so that many feeds do not come back at once.</summary>
internal sealed class BackOff(FeedOptions options, Random random)
{
    /// <summary>Failures in a row.</summary>
    public int Failures { get; private set; }

    /// <summary>All is well again.</summary>
    public void Clear() => Failures = 0;

    /// <summary>The wait after one more failure.</summary>
    /// <param name="outcome">Whoever is not let in need not hurry.</param>
    /// <param name="asked">What the other side asked for; it is kept to, up to ten times the longest wait.</param>
    public TimeSpan Next(DeliveryOutcome outcome, TimeSpan? asked)
    {
        double doubled = options.FirstWait.TotalSeconds * Math.Pow(2, Math.Min(Failures, 30));
        Failures++;
        double most = options.LongestWait.TotalSeconds;
        double wait = outcome == DeliveryOutcome.Refused ? most : Math.Min(most, doubled);
        wait *= 0.75 + (0.25 * random.NextDouble());
        return TimeSpan.FromSeconds(asked is { } said ? Math.Clamp(said.TotalSeconds, wait, 10 * most) : wait);
    }
}
