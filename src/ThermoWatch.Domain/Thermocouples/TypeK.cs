namespace ThermoWatch.Domain.Thermocouples;

/// <summary>Reference function of the type K thermocouple.</summary>
/// <remarks>
/// Source: NIST ITS-90 Thermocouple Database (SRD 60), type K; the same function as IEC 60584-1, which ends it at 1300 °C.
/// </remarks>
public static class TypeK
{
    /// <summary>EMF in mV of a junction at this temperature, against a reference junction at 0 °C.</summary>
    /// <param name="celsius">-270 to 1372 °C; beyond, the function is continued and means nothing.</param>
    public static double MillivoltsAt(double celsius) => Thermocouple.K.MillivoltsUnchecked(celsius);
}
