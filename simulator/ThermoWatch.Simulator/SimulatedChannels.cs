namespace ThermoWatch.Simulator;

/// <summary>The twelve quantities of a simulated cell, in the order of the register map.</summary>
public static class SimulatedChannels
{
    /// <summary>Number of product thermocouples.</summary>
    public const int ProductCount = 8;

    /// <summary>Number of thermocouple inputs: product, vapour, transport.</summary>
    public const int ThermocoupleCount = 10;

    /// <summary>Number of quantities in a frame.</summary>
    public const int Count = 12;

    /// <summary>Index of the vapour thermocouple.</summary>
    public const int Vapour = 8;

    /// <summary>Index of the transport thermocouple.</summary>
    public const int Transport = 9;

    /// <summary>Index of the cold junction.</summary>
    public const int ColdJunction = 10;

    /// <summary>Index of the chamber pressure.</summary>
    public const int Pressure = 11;

    /// <summary>Where each sensor sits, in the order of the map. Odd product channels are light edges, even ones heavy parts.</summary>
    public static IReadOnlyList<string> Names { get; } =
    [
        "Board 1 edge", "Board 1 choke", "Board 2 edge", "Board 2 driver",
        "Board 3 edge", "Board 3 bus bar", "Board 4 edge", "Board 4 driver",
        "vapour", "transport", "cold junction", "chamber",
    ];
}
