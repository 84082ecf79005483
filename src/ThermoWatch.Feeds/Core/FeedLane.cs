namespace ThermoWatch.Feeds;

/// <summary>A feed's cursor over a lane: what is confirmed, and what is on its way.</summary>
internal sealed class LaneCursor(IFeedLane lane, long after) : IDisposable
{
    private readonly IFeedReader _reader = lane.Open();

    public IFeedLane Lane => lane;

    /// <summary>Last entry confirmed.</summary>
    public long After { get; private set; } = after;

    /// <summary>Read, and not confirmed yet; null if nothing is.</summary>
    public FeedBatch? Pending { get; private set; }

    /// <summary>What may be written down: never more than a power cut leaves.</summary>
    public long Savable => Math.Min(After, lane.Settled);

    /// <summary>Reads on unless something is on its way; entries that no feed sends are passed over.</summary>
    /// <returns>What is on its way; null if everything is confirmed.</returns>
    public FeedBatch? Look(long through, int mostReadings, bool historical)
    {
        while (Pending is null && After < through)
        {
            FeedBatch batch = _reader.Read(After, through, mostReadings);
            if (batch.Items.Count > 0)
            {
                Pending = historical ? batch with { IsHistorical = true } : batch;
            }
            else if (batch.Through > After)
            {
                After = batch.Through;
            }
            else
            {
                break; // it cannot be read just now
            }
        }

        return Pending;
    }

    public void Confirm()
    {
        After = Pending!.Through;
        Pending = null;
    }

    /// <summary>Leaves everything up to a position to somebody else.</summary>
    public void SkipTo(long position) => (After, Pending) = (position, null);

    public void Dispose() => _reader.Dispose();
}
