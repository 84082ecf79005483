namespace ThermoWatch.Simulator.Physics;

/// <summary>The vapour zone as one mass with its walls.</summary>
/// <param name="capacity">Heat capacity, J/K.</param>
internal sealed class VapourZone(double capacity)
{
    /// <summary>Heat capacity, J/K.</summary>
    public double Capacity { get; } = capacity;

    /// <summary>Temperature, degC.</summary>
    public double Celsius { get; set; }
}
