using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Pressure;

/// <summary>From a pressure relative to the atmosphere to an absolute one.</summary>
public static class GaugePressure
{
    /// <summary>Lowest ambient pressure believed, mbar; the highest road is at about 500 mbar. Common practice.</summary>
    public const double LowestAmbientMillibar = 500;

    /// <summary>Highest ambient pressure believed, mbar; the record at sea level is 1085 mbar. Common practice.</summary>
    public const double HighestAmbientMillibar = 1100;

    /// <summary>Absolute pressure; bad when the ambient one is missing or cannot be.</summary>
    /// <param name="gaugeMillibar">Relative to the atmosphere, negative in vacuum.</param>
    /// <param name="ambient">Reading of the barometer, mbar absolute.</param>
    public static Converted ToAbsolute(double gaugeMillibar, Converted ambient)
    {
        bool isBelieved = ambient.Quality.HasValue
            && ambient.Value >= LowestAmbientMillibar && ambient.Value <= HighestAmbientMillibar;
        if (!isBelieved) return Converted.Bad(QualityReason.AmbientPressure);
        return new Converted(
            gaugeMillibar + ambient.Value,
            ambient.Quality.Level == Quality.Good ? SignalQuality.Good : SignalQuality.Uncertain(QualityReason.AmbientPressure));
    }
}
