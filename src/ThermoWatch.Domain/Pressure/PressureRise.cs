namespace ThermoWatch.Domain.Pressure;

/// <summary>What makes the pressure of a shut chamber rise.</summary>
public enum RiseCause
{
    /// <summary>The data cannot tell.</summary>
    Undecided,

    /// <summary>A straight line: gas from outside.</summary>
    Leak,

    /// <summary>A curve that flattens: gas or vapour from the walls and what lies in the chamber.</summary>
    Outgassing,
}

/// <summary>A pressure-rise test: a straight line and a flattening curve are fitted, and the better is named when the data can tell.</summary>
/// <param name="Cause">What makes it rise.</param>
/// <param name="LineRate">Slope of the straight line, pressure per unit of time.</param>
/// <param name="TimeConstant">Time constant of the flattening curve p = a + b (1 - exp(-t/T)).</param>
public sealed record PressureRise(RiseCause Cause, double LineRate, double TimeConstant)
{
    private const int FewestReadings = 5;

    // A rise of less than five times the scatter is noise (common practice).
    private const double LeastRise = 5;

    // Quantiles 0.95 of F(1, m), m = 1 to 10; above, the square of Student's t by Cornish and Fisher.
    private static readonly double[] s_significant = [161.45, 18.51, 10.13, 7.71, 6.61, 5.99, 5.59, 5.32, 5.12, 4.96];

    /// <summary>Judges readings of a shut chamber, cold, dry and empty.</summary>
    /// <param name="times">Rising, in any unit.</param>
    /// <param name="pressures">As many, in any unit.</param>
    public static PressureRise Of(IReadOnlyList<double> times, IReadOnlyList<double> pressures)
    {
        ArgumentNullException.ThrowIfNull(times);
        ArgumentNullException.ThrowIfNull(pressures);
        int n = times.Count;
        if (n < FewestReadings || pressures.Count != n || !(times[^1] > times[0]))
        {
            return new(RiseCause.Undecided, double.NaN, double.NaN);
        }

        double record = times[^1] - times[0];
        (double slope, double line) = Fit(times, pressures, t => t);
        double constant = BestConstant(times, pressures, record);
        double curve = Flattening(times, pressures, constant);
        double scatter = Math.Sqrt(Math.Min(line / (n - 2), curve / (n - 3)));
        double rise = pressures[^1] - pressures[0];

        // The curve has one parameter more, so it must be better by more than chance; and what it says must lie within the record.
        bool bent = line - curve > Significant(n - 3) * curve / (n - 3) && constant < record;

        // A line is named only if a curve as slow as the record would have been seen to miss.
        bool straight = Flattening(times, pressures, record) - line > Significant(n - 2) * line / (n - 2);
        RiseCause cause = !(rise > LeastRise * scatter) ? RiseCause.Undecided
            : bent ? RiseCause.Outgassing
            : straight ? RiseCause.Leak
            : RiseCause.Undecided;
        return new(cause, slope, constant);
    }

    private static double Flattening(IReadOnlyList<double> times, IReadOnlyList<double> pressures, double constant) =>
        Fit(times, pressures, t => -Math.Exp(-(t - times[0]) / constant)).Residual;

    /// <summary>The time constant of the best curve: its logarithm by golden section, from a tenth of a step to a hundred records.</summary>
    private static double BestConstant(IReadOnlyList<double> times, IReadOnlyList<double> pressures, double record)
    {
        double golden = (Math.Sqrt(5) - 1) / 2;
        (double low, double high) = (Math.Log(record / times.Count / 10), Math.Log(record * 100));
        for (int i = 0; i < 80; i++)
        {
            (double first, double second) = (high - (golden * (high - low)), low + (golden * (high - low)));
            bool left = Flattening(times, pressures, Math.Exp(first)) < Flattening(times, pressures, Math.Exp(second));
            (low, high) = left ? (low, second) : (first, high);
        }

        return Math.Exp((low + high) / 2);
    }

    /// <summary>Least squares of p = a + b f(t): b, and the sum of squares that is left.</summary>
    private static (double Factor, double Residual) Fit(IReadOnlyList<double> times, IReadOnlyList<double> pressures, Func<double, double> shape)
    {
        int n = times.Count;
        double[] x = [.. times.Select(shape)];
        (double meanX, double meanP) = (x.Average(), pressures.Average());
        double xx = 0, xp = 0;
        for (int i = 0; i < n; i++)
        {
            xx += (x[i] - meanX) * (x[i] - meanX);
            xp += (x[i] - meanX) * (pressures[i] - meanP);
        }

        double factor = xx > 0 ? xp / xx : 0;
        double left = 0;
        for (int i = 0; i < n; i++)
        {
            double miss = pressures[i] - meanP - (factor * (x[i] - meanX));
            left += miss * miss;
        }

        return (factor, left);
    }

    private static double Significant(int freedom)
    {
        if (freedom <= s_significant.Length)
        {
            return s_significant[freedom - 1];
        }

        double t = 1.95996 + (2.372 / freedom) + (2.823 / ((double)freedom * freedom));
        return t * t;
    }
}
