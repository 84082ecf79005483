namespace ThermoWatch.Simulator.Machines;

/// <summary>How a machine brings vapour and vacuum to the boards.</summary>
public enum MachineFamily
{
    /// <summary>One closed chamber: soak, a dose of fluid evaporated for each run, vacuum in the same place.</summary>
    ClosedChamber,

    /// <summary>A tank of standing vapour; a lift lowers the boards into it and raises them into a vacuum chamber.</summary>
    TankWithLift,

    /// <summary>Stations in line: soak tunnel, standing vapour, a vacuum station whose walls are heated.</summary>
    InLine,
}

/// <summary>What differs between the families, as numbers. Common practice and our own choice, not one maker's machine.</summary>
/// <param name="VapourStands">The zone holds vapour all the time; else it is filled for each run and collapses in vacuum.</param>
/// <param name="ZoneCapacity">Heat capacity of the zone with its walls, J/K.</param>
/// <param name="VapourWatts">Heater power for a full load, W.</param>
/// <param name="ImmersionSeconds">How long the boards take to sink into the vapour: the lift's way of limiting the slope.</param>
/// <param name="VacuumWallCelsius">Temperature of the walls around the boards in vacuum, degC.</param>
internal sealed record FamilyTraits(bool VapourStands, double ZoneCapacity, double VapourWatts, double ImmersionSeconds, double VacuumWallCelsius)
{
    public static FamilyTraits Of(MachineFamily family) => family switch
    {
        MachineFamily.TankWithLift => new(true, 450, 3600, 22, 185),
        MachineFamily.InLine => new(true, 700, 4200, 22, 226),
        _ => new(false, 400, 3350, 0.5, 190),
    };
}
