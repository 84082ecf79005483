using ThermoWatch.Acquisition;

namespace ThermoWatch.Service.Configuration;

/// <summary>What whoever has written a configuration should know of its feeds: no faults, each with its place and a remedy.</summary>
internal static class FeedNotes
{
    public static IReadOnlyList<ConfigurationFault> Of(IEnumerable<FeedConfiguration> feeds, IReadOnlyCollection<CellConfiguration> cells) =>
        [.. feeds.SelectMany(feed => (ConfigurationFault?[])[InClear(feed), Close(feed, cells)]).OfType<ConfigurationFault>()];

    private static ConfigurationFault? InClear(FeedConfiguration feed) => feed.InClear is not { } key ? null
        : new ConfigurationFault($"{feed.Path}.{key}", "is without encryption, and the feed's secret goes over the network in clear",
            key == "tls" ? "Write \"tls\": true where the broker takes encrypted connections." : "Write an address that begins with https:// where the server has one.");

    /// <summary>The record has every scan, and most devices give few: it works, and somebody may want it otherwise.</summary>
    private static ConfigurationFault? Close(FeedConfiguration feed, IReadOnlyCollection<CellConfiguration> cells)
    {
        IReadOnlyList<CloseDevice> close = FeedSteps.CloseDevices(feed, cells);
        if (close.Count == 0)
        {
            return null;
        }

        string devices = string.Join(", ", close.Select(c => FormattableString.Invariant($"{c.Device} of cell {c.Cell}")));
        string pace = $"and {devices} {(close.Count == 1 ? "sets its" : "set their")} own pace: of scans that come within one of these the target keeps one";
        return feed.Step.Word is { } word
            ? new ConfigurationFault(feed.Path + ".precision", $"is \"{word}\", {pace}", "Write \"ns\" if the target keeps that; the record has every scan in any case.")
            : new ConfigurationFault(feed.Path, $"sends whole milliseconds, as its kind does, {pace}", "Where every scan is wanted use a feed of kind mqtt, or influx with precision \"ns\"; the record has every scan in any case.");
    }
}
