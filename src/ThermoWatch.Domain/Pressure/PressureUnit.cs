namespace ThermoWatch.Domain.Pressure;

/// <summary>A unit of pressure that an instrument may give or a person may choose.</summary>
public enum PressureUnit
{
    /// <summary>100 Pa, exactly.</summary>
    Millibar = 0,

    /// <summary>100 Pa, exactly; the millibar under another name.</summary>
    Hectopascal = 1,

    /// <summary>Pascal.</summary>
    Pascal = 2,

    /// <summary>1000 Pa, exactly.</summary>
    Kilopascal = 3,

    /// <summary>101325/760 Pa, exactly.</summary>
    Torr = 4,

    /// <summary>Pound-force per square inch.</summary>
    PoundPerSquareInch = 5,

    /// <summary>Conventional inch of mercury: 25.4 mm at 13595.1 kg/m³ and 9.80665 m/s².</summary>
    InchOfMercury = 6,
}

/// <summary>Conversions between units of pressure.</summary>
/// <remarks>
/// All factors follow from exact definitions: ISO 80000-4, NIST SP 811 appendix B.8.
/// A gauge in "inHg vacuum" or "-bar" is relative to the atmosphere: see <see cref="GaugePressure"/>.
/// </remarks>
public static class PressureUnits
{
    private const double StandardGravity = 9.80665;

    /// <summary>Pascal in one of this unit.</summary>
    public static double PascalsIn(PressureUnit unit) => unit switch
    {
        PressureUnit.Millibar or PressureUnit.Hectopascal => 100,
        PressureUnit.Pascal => 1,
        PressureUnit.Kilopascal => 1000,
        PressureUnit.Torr => 101325.0 / 760,
        PressureUnit.PoundPerSquareInch => 0.45359237 * StandardGravity / (0.0254 * 0.0254),
        PressureUnit.InchOfMercury => 13595.1 * StandardGravity * 0.0254,
        _ => throw new ArgumentOutOfRangeException(nameof(unit), unit, "No such unit of pressure."),
    };

    /// <summary>The same pressure in another unit.</summary>
    public static double Convert(double value, PressureUnit from, PressureUnit to) =>
        PascalsIn(from).Equals(PascalsIn(to)) ? value : value * PascalsIn(from) / PascalsIn(to);

    /// <summary>The symbol as it stands in files and beside numbers: mbar, hPa, Pa, kPa, Torr, psi, inHg.</summary>
    public static string SymbolOf(PressureUnit unit) => unit switch
    {
        PressureUnit.Millibar => "mbar",
        PressureUnit.Hectopascal => "hPa",
        PressureUnit.Pascal => "Pa",
        PressureUnit.Kilopascal => "kPa",
        PressureUnit.Torr => "Torr",
        PressureUnit.PoundPerSquareInch => "psi",
        PressureUnit.InchOfMercury => "inHg",
        _ => throw new ArgumentOutOfRangeException(nameof(unit), unit, "No such unit of pressure."),
    };

    /// <summary>The unit with this symbol, upper and lower case as printed; null if it is none.</summary>
    public static PressureUnit? Find(string symbol)
    {
        foreach (PressureUnit unit in Enum.GetValues<PressureUnit>())
        {
            if (string.Equals(SymbolOf(unit), symbol, StringComparison.Ordinal)) return unit;
        }

        return null;
    }
}
