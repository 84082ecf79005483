namespace ThermoWatch.Simulator.Physics;

/// <summary>What the boards are exposed to during one step.</summary>
internal struct Surroundings
{
    /// <summary>Temperature of the moving gas, degC.</summary>
    public double GasCelsius;

    /// <summary>Convection as a share of that of the soak air at atmospheric pressure.</summary>
    public double GasShare;

    /// <summary>Temperature of the chamber walls that the boards radiate to and touch, degC.</summary>
    public double WallCelsius;

    /// <summary>Share of the boards' surface in the vapour, 0 to 1.</summary>
    public double Immersion;

    /// <summary>Power of the vapour heater, W.</summary>
    public double VapourWatts;

    /// <summary>The boards are away from the zone, and somebody else moves it.</summary>
    public bool ZoneIsElsewhere;

    /// <summary>Whether the zone holds vapour; otherwise it is gas and follows <see cref="ZoneRestCelsius"/>.</summary>
    public bool ZoneHoldsVapour;

    /// <summary>Where the zone's temperature drifts while it holds no vapour, degC, with <see cref="ZoneRestSeconds"/>.</summary>
    public double ZoneRestCelsius;

    /// <summary>Time constant of that drift, s.</summary>
    public double ZoneRestSeconds;

    /// <summary>Boiling point at the chamber's pressure, degC: the zone is never hotter.</summary>
    public double BoilingCelsius;

    /// <summary>Chamber pressure, mbar: below the film's vapour pressure the condensate flashes off.</summary>
    public double ChamberMbar;

    /// <summary>Place that a stuck radiant element shines on, or a cold clamp touches, or -1.</summary>
    public int RadiantPlace;

    /// <summary>Power of that element on that place, W; negative: taken by the clamp.</summary>
    public double RadiantWatts;
}
