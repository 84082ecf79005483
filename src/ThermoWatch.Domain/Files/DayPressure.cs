using ThermoWatch.Domain.Pressure;

namespace ThermoWatch.Domain.Files;

/// <summary>The ambient pressure of the day on which curves were recorded, by a barometer, or by a chamber while it stood open.</summary>
internal sealed class DayPressure
{
    /// <summary>A chamber at rest stands within this share of its highest pressure.</summary>
    private const double AtRest = 0.9;

    /// <summary>Pressures are told apart by this much, mbar: far less than weather says anything by.</summary>
    private const double Step = 0.05;

    private readonly int[] _counts = new int[(int)((GaugePressure.HighestAmbientMillibar - GaugePressure.LowestAmbientMillibar) / Step) + 2];

    /// <summary>Median of what can be a day's pressure and is no evacuation, hPa; null if nothing can.</summary>
    public double? Median
    {
        get
        {
            int highest = Array.FindLastIndex(_counts, c => c > 0);
            if (highest < 0)
            {
                return null;
            }

            int from = Math.Max(0, PlaceOf(AtRest * PressureAt(highest)));
            long middle = _counts.Skip(from).Sum(c => (long)c) / 2;
            int at = from;
            while ((middle -= _counts[at]) >= 0)
            {
                at++;
            }

            return PressureAt(at);
        }
    }

    /// <summary>Takes a pressure, mbar; NaN and what no weather can be are passed over.</summary>
    public void Add(double millibar)
    {
        if (millibar is >= GaugePressure.LowestAmbientMillibar and <= GaugePressure.HighestAmbientMillibar)
        {
            _counts[PlaceOf(millibar)]++;
        }
    }

    private static int PlaceOf(double millibar) => (int)Math.Round((millibar - GaugePressure.LowestAmbientMillibar) / Step);

    private static double PressureAt(int place) => Math.Round(GaugePressure.LowestAmbientMillibar + (place * Step), 2);
}
