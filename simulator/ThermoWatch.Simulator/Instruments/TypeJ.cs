namespace ThermoWatch.Simulator.Instruments;

/// <summary>Reference function of type J, for the fault of a wrong wire.</summary>
/// <remarks>NIST ITS-90 Thermocouple Database (SRD 60), type J, -210 to 760 degC; checked against its printed table.</remarks>
internal static class TypeJ
{
    private static readonly double[] Coefficients =
    [
        0, 0.503811878150E-01, 0.304758369300E-04, -0.856810657200E-07, 0.132281952950E-09,
        -0.170529583370E-12, 0.209480906970E-15, -0.125383953360E-18, 0.156317256970E-22,
    ];

    /// <summary>EMF in mV against a reference junction at 0 degC.</summary>
    public static double MillivoltsAt(double celsius)
    {
        double sum = 0;
        for (int i = Coefficients.Length - 1; i >= 0; i--)
        {
            sum = (sum * celsius) + Coefficients[i];
        }

        return sum;
    }
}
