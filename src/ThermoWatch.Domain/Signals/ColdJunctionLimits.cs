namespace ThermoWatch.Domain.Signals;

/// <summary>How far a reference junction is believed.</summary>
/// <param name="LowestCelsius">Colder than this it is not believed; the default is common practice for terminal blocks.</param>
/// <param name="HighestCelsius">Warmer than this it is not believed; the default is common practice for terminal blocks.</param>
/// <param name="MaxAgeSeconds">A good reading is used for so long when no newer one comes; terminals change slowly.</param>
public sealed record ColdJunctionLimits(double LowestCelsius = -40, double HighestCelsius = 125, double MaxAgeSeconds = 5)
{
    /// <summary>-40 to 125 °C, 5 s.</summary>
    public static ColdJunctionLimits Default { get; } = new();
}
