using ThermoWatch.Acquisition;

namespace ThermoWatch.Service.Configuration;

/// <summary>A device whose scans may lie closer together than a feed can tell apart.</summary>
/// <param name="Cell">Number of its cell.</param>
/// <param name="Device">Its id.</param>
public sealed record CloseDevice(int Cell, string Device);

/// <summary>Holds what feeds can tell apart in time against what devices may give.</summary>
internal static class FeedSteps
{
    /// <summary>Devices of a feed two of whose scans may become one point of its target. A polled one has 10 ms between two polls, and is none.</summary>
    public static IReadOnlyList<CloseDevice> CloseDevices(FeedConfiguration feed, IEnumerable<CellConfiguration> cells) =>
        !feed.SendsReadings || feed.Step.Length <= FeedStep.Full.Length ? [] :
        [
            .. from cell in cells
               where feed.Cells.Count == 0 || feed.Cells.Contains(cell.Definition.Number)
               from device in cell.Devices
               where device.HasOwnPace && cell.Definition.Channels.Any(c => c.Device == device.Id)
               select new CloseDevice(cell.Definition.Number, device.Id),
        ];

    /// <summary>What whoever has written the configuration should know of it. It is no fault: the record has every scan, and most devices give few.</summary>
    public static IReadOnlyList<ConfigurationFault> Notes(IEnumerable<FeedConfiguration> feeds, IReadOnlyCollection<CellConfiguration> cells)
    {
        List<ConfigurationFault> notes = [];
        foreach (FeedConfiguration feed in feeds)
        {
            CloseDevice[] close = [.. CloseDevices(feed, cells)];
            if (close.Length == 0)
            {
                continue;
            }

            string devices = string.Join(", ", close.Select(c => FormattableString.Invariant($"{c.Device} of cell {c.Cell}")));
            string pace = $"and {devices} {(close.Length == 1 ? "sets its" : "set their")} own pace: of scans that come within one of these the target keeps one";
            notes.Add(feed.Step.Word is { } word
                ? new ConfigurationFault(feed.Path + ".precision", $"is \"{word}\", {pace}", "Write \"ns\" if the target keeps that; the record has every scan in any case.")
                : new ConfigurationFault(feed.Path, $"sends whole milliseconds, as its kind does, {pace}", "Where every scan is wanted use a feed of kind mqtt, or influx with precision \"ns\"; the record has every scan in any case."));
        }

        return notes;
    }
}
