using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>A record seen with other calibrations: the raw numbers converted once more, beside the old result and never over it.</summary>
public static class Recalibration
{
    /// <summary>The cell as if each of these channels had always had its new calibration; the other channels keep theirs.</summary>
    /// <param name="cell">The cell as it was recorded.</param>
    /// <param name="calibrations">New calibration by channel id, in the channel's unit.</param>
    public static CellDefinition Of(CellDefinition cell, IReadOnlyDictionary<string, Calibration> calibrations)
    {
        ArgumentNullException.ThrowIfNull(cell);
        ArgumentNullException.ThrowIfNull(calibrations);
        return cell with
        {
            Channels =
            [
                .. cell.Channels.Select(channel => calibrations.TryGetValue(channel.Id, out Calibration? calibration)
                    ? channel with { Conversion = channel.Conversion with { Calibrations = CalibrationHistory.Always(calibration) } }
                    : channel),
            ],
        };
    }
}
