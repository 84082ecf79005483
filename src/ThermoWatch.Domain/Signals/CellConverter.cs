using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Signals;

/// <summary>Turns raw scans into readings: scaling only, until thermocouples and their reference junctions come.</summary>
public sealed class CellConverter(CellDefinition cell)
{
    /// <summary>Converts one scan.</summary>
    /// <param name="scan">What the device said.</param>
    /// <param name="readings">One reading a channel of the cell; those of the device are replaced.</param>
    public void Convert(RawScan scan, Span<Reading> readings)
    {
        DeviceDefinition device = cell.Devices[scan.DeviceIndex];
        for (int i = 0; i < cell.Channels.Count; i++)
        {
            ChannelDefinition channel = cell.Channels[i];
            int point = channel.Device == device.Id ? IndexOf(device.Points, channel.Point) : -1;
            if (point < 0)
            {
                continue;
            }

            SignalQuality quality = scan.Qualities[point];
            double value = (scan.Values[point] * channel.Conversion.Scale) + channel.Conversion.Offset;
            readings[i] = quality.HasValue && channel.Conversion.Thermocouple is null
                ? new Reading(scan.Time, value, quality)
                : Reading.Bad(scan.Time, quality.HasValue ? QualityReason.ColdJunction : quality.Reason);
        }
    }

    /// <summary>Writes its state.</summary>
    public void Save(BinaryWriter writer) => writer.Write(0);

    /// <summary>Reads its state.</summary>
    public void Load(BinaryReader reader) => reader.ReadInt32();

    private static int IndexOf(IReadOnlyList<string> points, string point)
    {
        for (int i = 0; i < points.Count; i++)
        {
            if (points[i] == point)
            {
                return i;
            }
        }

        return -1;
    }
}
