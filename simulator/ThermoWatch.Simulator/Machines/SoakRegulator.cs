namespace ThermoWatch.Simulator.Machines;

/// <summary>Chases the soak set-point with the temperature of the air: proportional and integral, as imperfect as real ones are.</summary>
/// <remarks>
/// Its sensor and its heater are late, the air cannot be hotter than the heater makes it, and the integral goes on growing all the while the
/// boards lag behind the ramp (wind-up; only a wide clamp ends it). So the boards pass the set-point by some kelvin and come back slowly;
/// heavy boards, for which the heater reaches its limit, longer than light ones. Numbers are our own choice.
/// </remarks>
internal sealed class SoakRegulator
{
    /// <summary>Hottest air that the heater can make, degC.</summary>
    public const double HottestAir = 225;

    private const double Gain = 3.2;
    private const double IntegralSeconds = 240;
    private const double IntegralClampKelvin = 40;
    private const double ActuatorSeconds = 5;
    private const double SensorSeconds = 2;
    private const double ColdestAir = 20;
    private double _seen, _integralKelvin;

    /// <summary>Temperature of the air, degC.</summary>
    public double AirCelsius { get; private set; }

    /// <summary>Starts again from the boards' temperature.</summary>
    public void Reset(double celsius)
    {
        AirCelsius = celsius;
        _seen = celsius;
        _integralKelvin = 0;
    }

    /// <summary>One step.</summary>
    /// <param name="setCelsius">Set-point of this moment, degC.</param>
    /// <param name="boardCelsius">The place the regulator watches, degC.</param>
    /// <param name="seconds">Length of the step.</param>
    public void Step(double setCelsius, double boardCelsius, double seconds)
    {
        _seen += (boardCelsius - _seen) * (1 - Math.Exp(-seconds / SensorSeconds));
        double error = setCelsius - _seen;
        _integralKelvin = Math.Clamp(_integralKelvin + (Gain * error * seconds / IntegralSeconds), -IntegralClampKelvin, IntegralClampKelvin);
        double wanted = Math.Clamp(setCelsius + (Gain * error) + _integralKelvin, ColdestAir, HottestAir);
        AirCelsius += (wanted - AirCelsius) * (1 - Math.Exp(-seconds / ActuatorSeconds));
    }
}
