namespace ThermoWatch.Domain.Thermocouples;

/// <summary>Reference function of the type K thermocouple.</summary>
/// <remarks>
/// Source: NIST ITS-90 Thermocouple Database (SRD 60), type K; the same function as IEC 60584-1, which ends it at 1300 °C.
/// </remarks>
public static class TypeK
{
    private static readonly double[] BelowZero =
    [
        0, 0.394501280250E-01, 0.236223735980E-04, -0.328589067840E-06, -0.499048287770E-08, -0.675090591730E-10,
        -0.574103274280E-12, -0.310888728940E-14, -0.104516093650E-16, -0.198892668780E-19, -0.163226974860E-22,
    ];

    private static readonly double[] AboveZero =
    [
        -0.176004136860E-01, 0.389212049750E-01, 0.185587700320E-04, -0.994575928740E-07, 0.318409457190E-09,
        -0.560728448890E-12, 0.560750590590E-15, -0.320207200030E-18, 0.971511471520E-22, -0.121047212750E-25,
    ];

    /// <summary>EMF in mV of a junction at this temperature, against a reference junction at 0 °C.</summary>
    /// <param name="celsius">-270 to 1372 °C.</param>
    public static double MillivoltsAt(double celsius)
    {
        double[] coefficients = celsius <= 0 ? BelowZero : AboveZero;
        double sum = 0;
        for (int i = coefficients.Length - 1; i >= 0; i--)
        {
            sum = (sum * celsius) + coefficients[i];
        }

        return celsius <= 0 ? sum : sum + (0.1185976 * Math.Exp(-0.1183432E-03 * (celsius - 126.9686) * (celsius - 126.9686)));
    }
}
