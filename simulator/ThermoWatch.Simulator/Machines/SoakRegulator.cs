namespace ThermoWatch.Simulator.Machines;

/// <summary>Chases the soak set-point with the temperature of the air; late, as real ones are, so the boards pass it by a kelvin or two.</summary>
internal sealed class SoakRegulator
{
    private const double Gain = 3.2;
    private const double ActuatorSeconds = 5;
    private const double SensorSeconds = 2;
    private const double HottestAir = 262;
    private const double ColdestAir = 20;
    private double _seen;

    /// <summary>Temperature of the air, degC.</summary>
    public double AirCelsius { get; private set; }

    /// <summary>Starts again from the boards' temperature.</summary>
    public void Reset(double celsius)
    {
        AirCelsius = celsius;
        _seen = celsius;
    }

    /// <summary>One step.</summary>
    /// <param name="setCelsius">Set-point of this moment, degC.</param>
    /// <param name="boardCelsius">The place the regulator watches, degC.</param>
    /// <param name="seconds">Length of the step.</param>
    public void Step(double setCelsius, double boardCelsius, double seconds)
    {
        _seen += (boardCelsius - _seen) * (1 - Math.Exp(-seconds / SensorSeconds));
        double wanted = Math.Clamp(setCelsius + (Gain * (setCelsius - _seen)), ColdestAir, HottestAir);
        AirCelsius += (wanted - AirCelsius) * (1 - Math.Exp(-seconds / ActuatorSeconds));
    }
}
