namespace ThermoWatch.Domain.Thermocouples;

/// <summary>One stretch of a reference function: a polynomial, for type K above 0 °C with a bump added.</summary>
/// <param name="LowCelsius">Where it begins; that temperature itself belongs to the piece below, if there is one.</param>
/// <param name="HighCelsius">Where it ends, inclusive.</param>
/// <param name="Coefficients">Constant term first; mV, mV/°C, mV/°C² and so on.</param>
/// <param name="Bump">The Gaussian term of type K; else null.</param>
internal sealed record ReferencePiece(double LowCelsius, double HighCelsius, double[] Coefficients, ReferenceBump? Bump = null)
{
    /// <summary>EMF in mV.</summary>
    public double MillivoltsAt(double celsius)
    {
        double sum = 0;
        for (int i = Coefficients.Length - 1; i >= 0; i--)
        {
            sum = (sum * celsius) + Coefficients[i];
        }

        return Bump is { } bump ? sum + bump.At(celsius) : sum;
    }

    /// <summary>Seebeck coefficient, the derivative of the EMF, in mV/K.</summary>
    public double SlopeAt(double celsius)
    {
        double sum = 0;
        for (int i = Coefficients.Length - 1; i >= 1; i--)
        {
            sum = (sum * celsius) + (i * Coefficients[i]);
        }

        return Bump is { } bump ? sum + bump.SlopeAt(celsius) : sum;
    }
}

/// <summary>The Gaussian that type K carries above 0 °C: <c>a0 exp(a1 (t - a2)²)</c>.</summary>
/// <remarks>It is worth up to 0.119 mV, about 2.9 K: leaving it out is the classic mistake.</remarks>
/// <param name="A0">Height in mV.</param>
/// <param name="A1">Width, in 1/°C²; negative.</param>
/// <param name="A2">Centre in °C.</param>
internal sealed record ReferenceBump(double A0, double A1, double A2)
{
    public double At(double celsius) => A0 * Math.Exp(A1 * (celsius - A2) * (celsius - A2));

    public double SlopeAt(double celsius) => 2 * A1 * (celsius - A2) * At(celsius);
}
