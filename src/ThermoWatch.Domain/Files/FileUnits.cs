namespace ThermoWatch.Domain.Files;

/// <summary>Units that curve and spec files may use. Pressures are absolute.</summary>
internal static class FileUnits
{
    private const double ZeroCelsius = 273.15;

    /// <summary>Names of the temperature units.</summary>
    public static IReadOnlyList<string> Temperatures { get; } = ["degC", "degF", "K"];

    /// <summary>Names of the pressure units.</summary>
    public static IReadOnlyList<string> Pressures { get; } = ["mbar", "hPa", "Pa", "kPa", "Torr", "psi", "inHg"];

    /// <summary>Pascals in one of a pressure unit; null for any other unit.</summary>
    /// <remarks>Source: NIST SP 811, appendix B.8; the torr is exactly 101325/760 Pa, the inch of mercury the conventional one.</remarks>
    public static double? PascalsIn(string unit) => unit switch
    {
        "mbar" or "hPa" => 100,
        "Pa" => 1,
        "kPa" => 1000,
        "Torr" => 101325 / 760.0,
        "psi" => 6894.757293168361,
        "inHg" => 3386.388640341,
        _ => null,
    };

    /// <summary>Millibar of a pressure in that unit.</summary>
    public static double ToMillibar(double value, string unit) => unit is "mbar" or "hPa" ? value : value * PascalsIn(unit)!.Value / 100;

    /// <summary>Whether something can be that hot, or a gauge show that pressure; a gauge's zero may lie below nothing.</summary>
    /// <param name="value">°C or mbar.</param>
    /// <param name="isPressure">Which of the two.</param>
    public static bool IsPossible(double value, bool isPressure) => isPressure ? value is > -1e6 and < 1e6 : value is >= -ZeroCelsius and < 10_000;

    /// <summary>Degrees Celsius of a temperature in that unit.</summary>
    public static double ToCelsius(double value, string unit) => unit switch
    {
        "degF" => (value - 32) / 1.8,
        "K" => value - ZeroCelsius,
        _ => value,
    };
}
