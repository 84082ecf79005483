using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Thermocouples;

/// <summary>A tolerance class of thermocouple wire.</summary>
public enum ToleranceClass
{
    /// <summary>IEC 60584-1 class 1.</summary>
    Iec1 = 1,

    /// <summary>IEC 60584-1 class 2.</summary>
    Iec2 = 2,

    /// <summary>IEC 60584-1 class 3, for low temperatures and type B.</summary>
    Iec3 = 3,

    /// <summary>ASTM E230 special.</summary>
    AstmSpecial = 11,

    /// <summary>ASTM E230 standard.</summary>
    AstmStandard = 12,
}

/// <summary>How far new wire may be from the reference function, and its extension cable beside it.</summary>
/// <remarks>
/// Sources: tables of two probe makers, a cable maker and a sensor maker after IEC 60584-1:2013 (formerly 60584-2) and ASTM E230.
/// ASTM below 0 °C must be ordered explicitly; its figures are less sure than the others.
/// </remarks>
public static class ThermocoupleTolerance
{
    /// <summary>Half width of the tolerance in K; bad where the class is not defined, for that type or at that temperature.</summary>
    public static Converted HalfWidthKelvin(char letter, ToleranceClass toleranceClass, double celsius)
    {
        if (!double.IsFinite(celsius)) return Converted.Bad(QualityReason.NotANumber);
        double size = Math.Abs(celsius);
        double? halfWidth = toleranceClass switch
        {
            ToleranceClass.Iec1 => letter switch
            {
                'K' or 'N' => Within(celsius, -40, 1000, Math.Max(1.5, 0.004 * size)),
                'J' => Within(celsius, -40, 750, Math.Max(1.5, 0.004 * size)),
                'E' => Within(celsius, -40, 800, Math.Max(1.5, 0.004 * size)),
                'T' => Within(celsius, -40, 350, Math.Max(0.5, 0.004 * size)),
                'R' or 'S' => Within(celsius, 0, 1600, Math.Max(1.0, 1.0 + (0.003 * (celsius - 1100)))),
                _ => null,
            },
            ToleranceClass.Iec2 => letter switch
            {
                'K' or 'N' => Within(celsius, -40, 1200, Math.Max(2.5, 0.0075 * size)),
                'J' => Within(celsius, -40, 750, Math.Max(2.5, 0.0075 * size)),
                'E' => Within(celsius, -40, 900, Math.Max(2.5, 0.0075 * size)),
                'T' => Within(celsius, -40, 350, Math.Max(1.0, 0.0075 * size)),
                'R' or 'S' => Within(celsius, 0, 1600, Math.Max(1.5, 0.0025 * size)),
                'B' => Within(celsius, 600, 1700, 0.0025 * size),
                _ => null,
            },
            ToleranceClass.Iec3 => letter switch
            {
                'K' or 'N' or 'E' => Within(celsius, -200, 40, Math.Max(2.5, 0.015 * size)),
                'T' => Within(celsius, -200, 40, Math.Max(1.0, 0.015 * size)),
                'B' => Within(celsius, 600, 1700, Math.Max(4.0, 0.005 * size)),
                _ => null,
            },
            ToleranceClass.AstmSpecial => letter switch
            {
                'K' or 'N' => Within(celsius, 0, 1260, Math.Max(1.1, 0.004 * size)),
                'J' => Within(celsius, 0, 760, Math.Max(1.1, 0.004 * size)),
                'T' => Within(celsius, 0, 370, Math.Max(0.5, 0.004 * size)),
                'E' => Within(celsius, 0, 870, Math.Max(1.0, 0.004 * size)),
                'R' or 'S' => Within(celsius, 0, 1480, Math.Max(0.6, 0.001 * size)),
                'B' => Within(celsius, 870, 1700, 0.0025 * size),
                _ => null,
            },
            ToleranceClass.AstmStandard => letter switch
            {
                'K' => Within(celsius, -200, 1260, Math.Max(2.2, (celsius < 0 ? 0.02 : 0.0075) * size)),
                'N' => Within(celsius, 0, 1260, Math.Max(2.2, 0.0075 * size)),
                'J' => Within(celsius, 0, 760, Math.Max(2.2, 0.0075 * size)),
                'T' => Within(celsius, -200, 370, Math.Max(1.0, (celsius < 0 ? 0.015 : 0.0075) * size)),
                'E' => Within(celsius, -200, 870, Math.Max(1.7, (celsius < 0 ? 0.01 : 0.005) * size)),
                'R' or 'S' => Within(celsius, 0, 1480, Math.Max(1.5, 0.0025 * size)),
                'B' => Within(celsius, 870, 1700, 0.005 * size),
                _ => null,
            },
            _ => null,
        };
        return halfWidth is { } known ? Converted.Good(known) : Converted.Bad(QualityReason.OutOfRange);
    }

    /// <summary>Half width that extension cable of the same alloys adds, in K; bad where it is not known.</summary>
    /// <remarks>
    /// IEC 60584-3: KX 60 µV and 100 µV, about 1.5 K and 2.5 K. The figures of the other types are from memory.
    /// Compensating cable of other alloys (types R, S and B) depends on the temperature of the head: not known here.
    /// </remarks>
    /// <param name="letter">Type of the thermocouple.</param>
    /// <param name="cableClass">1 or 2.</param>
    public static Converted ExtensionHalfWidthKelvin(char letter, int cableClass) => (letter, cableClass) switch
    {
        ('K' or 'N' or 'J' or 'E', 1) => Converted.Good(1.5),
        ('K' or 'N' or 'J' or 'E', 2) => Converted.Good(2.5),
        ('T', 1) => Converted.Good(0.5),
        ('T', 2) => Converted.Good(1.0),
        _ => Converted.Bad(QualityReason.OutOfRange),
    };

    private static double? Within(double celsius, double low, double high, double halfWidth) =>
        celsius >= low && celsius <= high ? halfWidth : null;
}
