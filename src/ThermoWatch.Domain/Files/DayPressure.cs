using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>The ambient pressure of the day on which curves were recorded.</summary>
public static class DayPressure
{
    /// <summary>A chamber at rest stands within this share of its highest pressure.</summary>
    private const double AtRest = 0.9;

    /// <summary>Median of the barometer, hPa; without one that of the chamber while it stood open; null if neither tells.</summary>
    /// <param name="file">The curves.</param>
    public static double? Of(CurveFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        return Of(file, ChannelRole.Barometer) ?? Of(file, ChannelRole.Pressure);
    }

    private static double? Of(CurveFile file, ChannelRole role)
    {
        double[] believed =
        [
            .. file.Columns.Where(c => c.Role == role).Take(1).SelectMany(c => c.Values)
                .Where(v => v is >= GaugePressure.LowestAmbientMillibar and <= GaugePressure.HighestAmbientMillibar),
        ];
        if (believed.Length == 0)
        {
            return null;
        }

        Array.Sort(believed);
        int first = Array.FindIndex(believed, v => v >= AtRest * believed[^1]);
        return believed[first + ((believed.Length - first) / 2)];
    }
}
