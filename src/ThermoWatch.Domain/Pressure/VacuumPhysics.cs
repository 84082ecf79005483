namespace ThermoWatch.Domain.Pressure;

/// <summary>How a chamber is pumped, leaks and lets voids grow. Volumes and speeds in one unit of volume, whichever it is.</summary>
/// <remarks>Sources: vacuum handbooks' definitions; ideal gas. Checked against reference/process/vacuum_examples.csv.</remarks>
public static class VacuumPhysics
{
    private const double GasConstant = 8.314462618; // J/(mol K), exact since 2019

    /// <summary>Time from one pressure to another at constant speed: t = (V/S) ln((p0 - pe)/(p1 - pe)); null if it is never reached.</summary>
    /// <param name="volume">Volume of the chamber.</param>
    /// <param name="speed">Pumping speed, volume per unit of time.</param>
    /// <param name="from">Pressure at the beginning.</param>
    /// <param name="to">Pressure wanted, in the same unit.</param>
    /// <param name="end">Pressure at which the pump comes to rest, in the same unit.</param>
    public static double? PumpDownTime(double volume, double speed, double from, double to, double end = 0) =>
        to > end ? volume / speed * Math.Log((from - end) / (to - end)) : null;

    /// <summary>Speed that is needed for that, without a gas load.</summary>
    public static double SpeedFor(double volume, double time, double from, double to) => volume / time * Math.Log(from / to);

    /// <summary>Speed of a pump behind a line: 1/Seff = 1/S + 1/C.</summary>
    public static double EffectiveSpeed(double speed, double conductance) => speed * conductance / (speed + conductance);

    /// <summary>Pressure at which a pump comes to rest against a gas load: q/S.</summary>
    public static double EndPressure(double load, double speed) => load / speed;

    /// <summary>Gas load of a shut chamber: q = V dp/dt. 1 mbar·l/s is 0.1 Pa·m³/s.</summary>
    public static double GasLoad(double volume, double rise, double time) => volume * rise / time;

    /// <summary>Amount of gas that comes in, with the temperature's share taken off, mol/s.</summary>
    /// <param name="cubicMetres">Volume, m³.</param>
    /// <param name="first">Pressure in Pa and temperature in K at the beginning.</param>
    /// <param name="last">The same at the end.</param>
    /// <param name="seconds">Time between, s.</param>
    public static double MolarGasLoad(double cubicMetres, (double Pascals, double Kelvin) first, (double Pascals, double Kelvin) last, double seconds) =>
        cubicMetres / GasConstant * ((last.Pascals / last.Kelvin) - (first.Pascals / first.Kelvin)) / seconds;

    /// <summary>Factor by which a volume of gas grows when the pressure falls, at one temperature (Boyle).</summary>
    public static double Expansion(double from, double to) => from / to;

    /// <summary>Factor by which the radius of a bubble grows, held back by the surface tension of what it lies in.</summary>
    /// <remarks>(p1 + 2g/r1) r1³ = (p2 + 2g/r2) r2³, solved by bisection: the right side rises with r2.</remarks>
    /// <param name="radiusMetres">Radius at the first pressure, m.</param>
    /// <param name="newtonPerMetre">Surface tension, N/m; zero: Boyle alone.</param>
    /// <param name="fromPascals">First pressure, Pa.</param>
    /// <param name="toPascals">Second pressure, Pa; not above the first.</param>
    public static double BubbleGrowth(double radiusMetres, double newtonPerMetre, double fromPascals, double toPascals)
    {
        double gas = (fromPascals * radiusMetres * radiusMetres) + (2 * newtonPerMetre * radiusMetres);
        (double low, double high) = (1, Math.Cbrt(fromPascals / toPascals));
        for (int i = 0; i < 100; i++)
        {
            double middle = (low + high) / 2;
            bool small = (toPascals * radiusMetres * radiusMetres * middle * middle * middle) + (2 * newtonPerMetre * radiusMetres * middle * middle) < gas;
            (low, high) = small ? (middle, high) : (low, middle);
        }

        return (low + high) / 2;
    }

    /// <summary>Share of the first gas that is left after a number of evacuations, each filled up again: x0 (p1/p0)^n.</summary>
    public static double Inerted(double share, double from, double to, int times) => share * Math.Pow(to / from, times);
}
