using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Api;

/// <summary>A device to probe, and the cell whose channels say what its numbers mean.</summary>
/// <param name="Options">The device.</param>
/// <param name="Cell">Its cell; null for a device that is in none yet.</param>
internal sealed record ProbedDevice(DeviceOptions Options, CellDefinition? Cell)
{
    private static readonly Dictionary<string, Quality> Levels = Words.Of<Quality>();
    private static readonly Dictionary<string, QualityReason> Reasons = Words.Of<QualityReason>();

    /// <summary>The devices of some cells.</summary>
    public static IReadOnlyList<ProbedDevice> Of(IEnumerable<CellConfiguration> cells) =>
        [.. cells.SelectMany(cell => cell.Devices.Select(device => new ProbedDevice(device, cell.Definition)))];

    /// <summary>Adds what the cell's channels make of a report, by the conversion that is used live.</summary>
    /// <remarks>A thermocouple whose cold junction is on another device has no value here: that device was not asked.</remarks>
    /// <param name="report">What the device said.</param>
    /// <param name="moment">When; says which calibration counts.</param>
    public ProbeReport Converted(ProbeReport report, Timestamp moment)
    {
        int index = Cell?.Devices.ToList().FindIndex(d => d.Id == Options.Id) ?? -1;
        if (index < 0 || report.Points.Count != Options.PointIds.Count)
        {
            return report;
        }

        var readings = new Reading[Cell!.Channels.Count];
        new CellConverter(Cell).Convert(
            new RawScan(index, moment, [.. report.Points.Select(p => p.Value ?? double.NaN)], [.. report.Points.Select(p => QualityOf(p.Quality))]), readings);
        return report with
        {
            Channels = [.. Cell.Channels.Zip(readings).Where(c => c.First.Device == Options.Id).Select(c => new ProbeChannel(
                c.First.Id, c.Second.Quality.HasValue ? c.Second.Value : null, LiveMapping.ToLayout(c.First, null).Unit, c.Second.Quality.ToString()))],
        };
    }

    private static SignalQuality QualityOf(string text)
    {
        string[] parts = text.Split(':');
        return new SignalQuality(Levels[parts[0]], parts.Length > 1 ? Reasons[parts[1]] : QualityReason.None);
    }
}
