namespace ThermoWatch.Domain.Specs;

/// <summary>At which temperature a fluid boils on a given day.</summary>
/// <param name="Celsius">Expected, °C.</param>
/// <param name="Low">Least that it can be, °C, as the evaporation enthalpy is not known exactly.</param>
/// <param name="High">Most that it can be, °C.</param>
public sealed record BoilingPoint(double Celsius, double Low, double High)
{
    /// <summary>Evaporation enthalpy taken where the spec gives none, kJ/mol: the middle of what is assumed of soldering fluids.</summary>
    public const double UsualEnthalpy = 55;

    private const double GasConstant = 8.314462618; // J/(mol K), exact since 2019
    private const double ZeroCelsius = 273.15;

    // No sheet gives it. About 65 J/g and a molar mass near 1 kg/mol or less make it 45 to 65 kJ/mol: an assumption.
    private const double LeastEnthalpy = 45;
    private const double MostEnthalpy = 65;

    /// <summary>The boiling point at a pressure, by Clausius-Clapeyron: 1/T2 = 1/T1 - (R/H) ln(p2/p1).</summary>
    /// <param name="fluid">The fluid, with the pressure at which its boiling point is known.</param>
    /// <param name="hectopascal">Absolute pressure, hPa; above zero.</param>
    public static BoilingPoint At(Fluid fluid, double hectopascal)
    {
        ArgumentNullException.ThrowIfNull(fluid);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(hectopascal);
        if (fluid.EvaporationKilojoulePerMol is { } known)
        {
            double only = Solve(fluid, hectopascal, known);
            return new(only, only, only);
        }

        (double least, double most) = (Solve(fluid, hectopascal, LeastEnthalpy), Solve(fluid, hectopascal, MostEnthalpy));
        return new(Solve(fluid, hectopascal, UsualEnthalpy), Math.Min(least, most), Math.Max(least, most));
    }

    /// <summary>Usual pressure at a height, hPa.</summary>
    /// <remarks>Source: ISO 2533 standard atmosphere, to 11 km: 1013.25 (1 - 0.0065 h / 288.15)^5.25588.</remarks>
    /// <param name="metres">Above sea level, m.</param>
    public static double UsualHectopascalAt(double metres) => 1013.25 * Math.Pow(1 - (0.0065 * metres / 288.15), 5.25588);

    private static double Solve(Fluid fluid, double hectopascal, double kilojoulePerMol) =>
        (1 / ((1 / (fluid.BoilingPoint + ZeroCelsius))
            - (GasConstant / (1000 * kilojoulePerMol) * Math.Log(hectopascal / fluid.AtHectopascal)))) - ZeroCelsius;
}
