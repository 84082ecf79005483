namespace ThermoWatch.Simulator.Physics;

/// <summary>The chamber as a volume with a pump behind a line, gas loads and a vent valve.</summary>
/// <remarks>
/// Pumping: V dp/dt = -Seff p + q, solved exactly over each step, so the base pressure is q/Seff.
/// Vent: flow through an orifice, choked below 0.528 of the ambient pressure, isentropic above (air, 20 degC):
/// choked dp/dt = 198.6 m/s · CdA/V · ambient (common formula, from memory).
/// </remarks>
internal sealed class VacuumChamber(double litres, double ambientMbar)
{
    private const double ChokedMetresPerSecond = 198.6;
    private const double CriticalRatio = 0.5283;  // air, (2/(g+1))^(g/(g-1)) with g = 1.4
    private const double CriticalFlow = 0.25880;  // greatest of sqrt(x^(2/g) - x^((g+1)/g)), at the critical ratio
    private const double Gamma = 1.4;

    /// <summary>Absolute pressure, mbar.</summary>
    public double Mbar { get; private set; } = ambientMbar;

    /// <summary>Pressure outside, mbar.</summary>
    public double AmbientMbar { get; set; } = ambientMbar;

    /// <summary>Volume, l.</summary>
    public double Litres { get; } = litres;

    /// <summary>Seff of a pump of speed S behind a line of conductance C, both in the same unit: 1/Seff = 1/S + 1/C.</summary>
    public static double EffectiveSpeed(double pump, double conductance) => pump * conductance / (pump + conductance);

    /// <summary>Pumps for one step.</summary>
    /// <param name="effectiveSpeed">Seff in l/s; 0 only lets the gas loads in.</param>
    /// <param name="gasLoad">Leak and outgassing, mbar·l/s.</param>
    /// <param name="seconds">Length of the step.</param>
    public void Pump(double effectiveSpeed, double gasLoad, double seconds)
    {
        if (effectiveSpeed <= 0)
        {
            Mbar = Math.Min(Math.Max(AmbientMbar, Mbar), Mbar + (gasLoad * seconds / Litres));
            return;
        }

        double basePressure = gasLoad / effectiveSpeed;
        Mbar = basePressure + ((Mbar - basePressure) * Math.Exp(-effectiveSpeed / Litres * seconds));
    }

    /// <summary>Lets gas in for one step, up to a supply pressure.</summary>
    /// <param name="orificeSquareMillimetres">Cd·A of the open valve, mm².</param>
    /// <param name="supplyMbar">Pressure before the valve, mbar.</param>
    /// <param name="seconds">Length of the step.</param>
    public void Vent(double orificeSquareMillimetres, double supplyMbar, double seconds)
    {
        double ratio = Mbar / supplyMbar;
        if (ratio >= 1)
        {
            return;
        }

        double share = ratio <= CriticalRatio ? 1 : Math.Sqrt(Math.Pow(ratio, 2 / Gamma) - Math.Pow(ratio, (Gamma + 1) / Gamma)) / CriticalFlow;
        double cubicMetres = Litres / 1000;
        double rate = ChokedMetresPerSecond * (orificeSquareMillimetres * 1e-6 / cubicMetres) * supplyMbar * share;
        Mbar = Math.Min(supplyMbar, Mbar + (rate * seconds));
    }

    /// <summary>Joined to the room: at ambient pressure again.</summary>
    public void Equalise(double seconds) => Mbar += (AmbientMbar - Mbar) * (1 - Math.Exp(-seconds / 2.0));
}
