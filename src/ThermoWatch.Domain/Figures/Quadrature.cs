namespace ThermoWatch.Domain.Figures;

/// <summary>Independent errors together: the root of the sum of their squares (GUM 5.1.2).</summary>
internal static class Quadrature
{
    public static double Root(params ReadOnlySpan<double> parts)
    {
        double sum = 0;
        foreach (double part in parts)
        {
            sum += part * part;
        }

        return Math.Sqrt(sum);
    }
}
