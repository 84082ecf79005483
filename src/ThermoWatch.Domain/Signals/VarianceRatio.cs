namespace ThermoWatch.Domain.Signals;

/// <summary>The F distribution: how likely a ratio of two variances is by chance.</summary>
internal static class VarianceRatio
{
    /// <summary>Probability of a ratio of at least <paramref name="f"/> between two estimates of one variance.</summary>
    /// <param name="f">The ratio, at least 0.</param>
    /// <param name="above">Degrees of freedom of the variance above the line, at least 1.</param>
    /// <param name="below">Degrees of freedom of the one below it, at least 1.</param>
    public static double UpperTail(double f, int above, int below) =>
        double.IsPositiveInfinity(f) ? 0 : IncompleteBeta(below / (below + (above * f)), below, above);

    /// <summary>Regularised incomplete beta function at half the degrees of freedom, by the recurrences of whole and half arguments (Abramowitz and Stegun 26.5.15, 26.6.4 ff.).</summary>
    private static double IncompleteBeta(double x, int twiceA, int twiceB)
    {
        if (x is <= 0 or >= 1)
        {
            return x <= 0 ? 0 : 1;
        }

        // I(a + 1, b) = I(a, b) - t and I(a, b + 1) = I(a, b) + t', t = x^a (1-x)^b / (a B(a, b)), t' likewise by b.
        (int a, int b) = (2 - (twiceA % 2), 2 - (twiceB % 2));
        double y = 1 - x;
        (double value, double beta) = (a, b) switch
        {
            (1, 1) => (2 / Math.PI * Math.Asin(Math.Sqrt(x)), Math.PI),
            (1, 2) => (Math.Sqrt(x), 2.0),
            (2, 1) => (1 - Math.Sqrt(y), 2.0),
            _ => (x, 1.0),
        };
        double term = Math.Pow(x, a / 2.0) * Math.Pow(y, b / 2.0) / beta; // x^a y^b / B(a, b)
        for (; a < twiceA; a += 2)
        {
            value -= term / (a / 2.0);
            term *= x * (a + b) / a; // 1/B(a + 1, b) = (a + b)/a / B(a, b)
        }

        for (; b < twiceB; b += 2)
        {
            value += term / (b / 2.0);
            term *= y * (a + b) / b;
        }

        return Math.Clamp(value, 0, 1);
    }
}
