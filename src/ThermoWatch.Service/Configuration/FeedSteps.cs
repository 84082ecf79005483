namespace ThermoWatch.Service.Configuration;

/// <summary>A device whose scans may lie closer together than a feed can tell apart.</summary>
/// <param name="Cell">Number of its cell.</param>
/// <param name="Device">Its id.</param>
public sealed record CloseDevice(int Cell, string Device);

/// <summary>Holds what feeds can tell apart in time against what devices may give.</summary>
internal static class FeedSteps
{
    /// <summary>Devices of a feed two of whose scans may become one point of its target. A polled one has slots of 10 ms at least, and is none.</summary>
    public static IReadOnlyList<CloseDevice> CloseDevices(FeedConfiguration feed, IEnumerable<CellConfiguration> cells) =>
        !feed.SendsReadings || feed.Step.Length <= FeedStep.Full.Length ? [] :
        [
            .. from cell in cells
               where feed.Cells.Count == 0 || feed.Cells.Contains(cell.Definition.Number)
               from device in cell.Devices
               where device.HasOwnPace && cell.Definition.Channels.Any(c => c.Device == device.Id)
               select new CloseDevice(cell.Definition.Number, device.Id),
        ];
}
