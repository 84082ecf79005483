using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>Values that serve without any configuration.</summary>
internal static class Defaults
{
    /// <summary>A temperature must come back so far, K.</summary>
    public const double TemperatureDeadband = 1;

    /// <summary>And so many standard deviations of the channel's noise.</summary>
    public const double DeadbandSigmas = 6;

    /// <summary>A pressure must come back so far, decades.</summary>
    public const double PressureDeadband = 0.1;

    /// <summary>On-delay of temperatures.</summary>
    public const long TemperatureDelayTicks = Timestamp.TicksPerSecond;

    /// <summary>Readings of a run's first reading on: more a board's temperature than this above the vapour is not noise, K.</summary>
    public const double AboveVapourKelvin = 3;
}
