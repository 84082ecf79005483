namespace ThermoWatch.Simulator.Physics;

/// <summary>Where the heat went, in J since the start: every joule the network moves is entered once as given and once as taken.</summary>
internal sealed class HeatLedger
{
    /// <summary>Condensation heat given by the zone to the boards.</summary>
    public double Condensed { get; set; }

    /// <summary>From moving gas to the boards (negative: cooling).</summary>
    public double FromGas { get; set; }

    /// <summary>From walls to the boards.</summary>
    public double FromWalls { get; set; }

    /// <summary>From a radiant element to the boards, less what a cold clamp takes.</summary>
    public double Radiant { get; set; }

    /// <summary>Taken from the boards by condensate that flashed off.</summary>
    public double Flashed { get; set; }

    /// <summary>From the heater into the zone.</summary>
    public double Heater { get; set; }

    /// <summary>From the zone to the cooling coil: vapour that found no cold surface.</summary>
    public double Coil { get; set; }

    /// <summary>From the zone to its rest state while it holds no vapour, and to the walls.</summary>
    public double ZoneLoss { get; set; }
}
