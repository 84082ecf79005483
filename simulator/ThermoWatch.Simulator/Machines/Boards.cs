using ThermoWatch.Simulator.Physics;

namespace ThermoWatch.Simulator.Machines;

/// <summary>The boards of an imaginary inverter maker: eight places, light edges and heavy parts.</summary>
/// <remarks>Time constants in vapour 6 to 14 s and the flash-off dip of 1 to 5 K are in the range of common practice.</remarks>
internal static class Boards
{
    /// <summary>Conduction between the edge and the heavy part of one board, W/K.</summary>
    public const double Neighbour = 0.35;

    private static readonly (double Capacity, double Vapour, double Air, double Wall, double Dip)[] Usual =
    [
        (90, 6.6, 29.0, 620, 1.3), (165, 10.4, 36.0, 680, 1.1),
        (90, 6.0, 28.0, 600, 1.4), (130, 8.6, 33.5, 650, 1.2),
        (95, 7.4, 30.5, 630, 1.3), (180, 11.4, 37.5, 700, 1.0),
        (95, 7.0, 30.0, 620, 1.3), (135, 9.0, 34.0, 660, 1.2),
    ];

    /// <summary>The places, with the run's small difference in mass.</summary>
    /// <param name="mass">Factor on every heat capacity.</param>
    /// <param name="wallLoss">Factor on the loss to the walls.</param>
    public static Place[] Places(double mass, double wallLoss = 1) =>
        [.. Usual.Select(p =>
        {
            Place place = Place.FromTimes(p.Capacity, p.Vapour, p.Air, p.Wall, p.Dip);
            return place with { Capacity = place.Capacity * mass, Wall = place.Wall * wallLoss };
        })];
}
