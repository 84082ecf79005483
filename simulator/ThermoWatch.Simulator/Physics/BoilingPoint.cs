namespace ThermoWatch.Simulator.Physics;

/// <summary>Saturation of the heat-transfer fluid by the Clausius-Clapeyron relation.</summary>
/// <remarks>
/// 1/T2 = 1/T1 - (R/dH) ln(p2/p1), T in K. The evaporation enthalpy of soldering fluids, 45 to 65 kJ/mol, is an assumption
/// from memory; the middle is taken. Fluid 230 boils at 230 degC at 1013.25 hPa by its name.
/// </remarks>
internal static class BoilingPoint
{
    private const double GasConstant = 8.314462618; // J/(mol K), CODATA 2018, exact
    private const double ZeroCelsius = 273.15;
    private const double StandardHpa = 1013.25;

    /// <summary>Assumed enthalpy of evaporation, J/mol.</summary>
    public const double AssumedEnthalpy = 55_000;

    /// <summary>Boiling point in degC at a pressure in hPa of a fluid that boils at <paramref name="standardCelsius"/> at 1013.25 hPa.</summary>
    public static double CelsiusAt(double hectopascals, double standardCelsius, double enthalpy = AssumedEnthalpy) =>
        (1 / ((1 / (standardCelsius + ZeroCelsius)) - (GasConstant / enthalpy * Math.Log(hectopascals / StandardHpa)))) - ZeroCelsius;

    /// <summary>Vapour pressure in hPa over a surface at this temperature, degC.</summary>
    public static double HectopascalsAt(double celsius, double standardCelsius, double enthalpy = AssumedEnthalpy) =>
        StandardHpa * Math.Exp(enthalpy / GasConstant * ((1 / (standardCelsius + ZeroCelsius)) - (1 / (celsius + ZeroCelsius))));
}
