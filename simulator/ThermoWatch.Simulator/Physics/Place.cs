namespace ThermoWatch.Simulator.Physics;

/// <summary>Thermal data of one place on a board.</summary>
/// <param name="Capacity">Heat capacity, J/K.</param>
/// <param name="Condensation">h·A in condensing vapour, W/K. Capacity over this is the time constant in vapour.</param>
/// <param name="Convection">h·A in the soak air, W/K.</param>
/// <param name="Wall">h·A of radiation and contact to the walls, W/K; it is all that is left in vacuum.</param>
/// <param name="FilmJoules">Latent heat of the thickest condensate film that stays on the place, J.</param>
internal readonly record struct Place(double Capacity, double Condensation, double Convection, double Wall, double FilmJoules)
{
    /// <summary>A place given by its time constants in s and by the flash-off dip in K that its film causes.</summary>
    public static Place FromTimes(double capacity, double vapourSeconds, double airSeconds, double wallSeconds, double dipKelvin) =>
        new(capacity, capacity / vapourSeconds, capacity / airSeconds, capacity / wallSeconds, capacity * dipKelvin);
}
