using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds;

/// <summary>Counts scans that a target cannot tell from the one before: the same device, and the same time as it is sent.</summary>
/// <param name="step">How finely times are sent.</param>
internal sealed class SharedTimes(TimeSpan step)
{
    private readonly Dictionary<(int Cell, string Device), long> _last = [];

    /// <summary>How many there were.</summary>
    public long Count { get; private set; }

    /// <summary>Takes what was sent, in its order.</summary>
    public void Take(FeedBatch batch)
    {
        if (step.Ticks <= 1)
        {
            return; // as finely as the record has them, where no two scans of a device have one time
        }

        foreach (FeedItem item in batch.Items)
        {
            // A reading that is bad is not sent, or says nothing.
            if (item is not ScanItem { Channels.Length: > 0 } scan || !Array.Exists(scan.Readings, r => r.Quality.Level != Quality.Bad))
            {
                continue;
            }

            (int, string) of = (scan.Cell, scan.Definition.Channels[scan.Channels[0]].Device);
            long time = scan.Time.UtcTicks / step.Ticks;
            if (_last.TryGetValue(of, out long before) && before == time)
            {
                Count++;
            }

            _last[of] = time;
        }
    }
}
