namespace ThermoWatch.Domain.Signals.Filters;

/// <summary>Value or slope of the polynomial that fits evenly spaced readings best.</summary>
/// <remarks>Source: Savitzky and Golay, Anal. Chem. 36 (1964) 1627, with the later corrections; the weights are computed, and agree with the published ones.</remarks>
public sealed class SavitzkyGolay
{
    /// <summary>Readings whose steps differ by more than this share of their mean are not evenly spaced.</summary>
    private const double StepTolerance = 0.1;

    private readonly double[] _weights;

    /// <param name="window">Number of readings; more than <paramref name="order"/>.</param>
    /// <param name="order">Order of the polynomial, 0 to 5.</param>
    /// <param name="derivative">0 for the value, 1 for the slope, 2 for the curvature; at most <paramref name="order"/>.</param>
    /// <param name="position">At which reading, counted from the oldest: the middle one smooths best, the newest one does not wait.</param>
    /// <exception cref="ArgumentOutOfRangeException">The numbers do not fit together.</exception>
    public SavitzkyGolay(int window, int order, int derivative, int position)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(order);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(order, 5);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(window, order);
        ArgumentOutOfRangeException.ThrowIfNegative(derivative);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(derivative, order);
        ArgumentOutOfRangeException.ThrowIfNegative(position);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(position, window);
        Derivative = derivative;
        Position = position;
        _weights = LeastSquares(window, order, derivative, position);
    }

    /// <summary>Which derivative it gives.</summary>
    public int Derivative { get; }

    /// <summary>Which reading of the window it speaks of.</summary>
    public int Position { get; }

    /// <summary>One weight a reading, oldest first, for a step of 1.</summary>
    public IReadOnlyList<double> Weights => _weights;

    /// <summary>Value, slope per second, or curvature per second squared.</summary>
    /// <param name="window">As many readings as there are weights, oldest first.</param>
    /// <returns>Bad when a reading has no value or the readings are not evenly spaced.</returns>
    public Converted At(ReadOnlySpan<Reading> window)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(window.Length, _weights.Length);
        double stepSeconds = window[^1].Time.SecondsSince(window[0].Time) / (window.Length - 1);
        if (!(stepSeconds > 0)) return Converted.Bad(QualityReason.OutOfOrder);
        double sum = 0;
        for (int i = 0; i < window.Length; i++)
        {
            if (!window[i].Quality.HasValue) return Converted.Bad(window[i].Quality.Reason);
            double lateSeconds = window[i].Time.SecondsSince(window[0].Time) - (i * stepSeconds);
            if (Math.Abs(lateSeconds) > StepTolerance * stepSeconds) return Converted.Bad(QualityReason.Stale);
            sum += _weights[i] * window[i].Value;
        }

        return Converted.Good(sum / Math.Pow(stepSeconds, Derivative));
    }

    /// <summary>Solves the normal equations for the wanted coefficient, with the wanted reading as origin.</summary>
    private static double[] LeastSquares(int window, int order, int derivative, int position)
    {
        int size = order + 1;
        double[,] equations = new double[size, size + 1];
        for (int row = 0; row < size; row++)
        {
            for (int column = 0; column < size; column++)
            {
                for (int i = 0; i < window; i++) equations[row, column] += Math.Pow(i - position, row + column);
            }
        }

        double factorial = 1;
        for (int i = 2; i <= derivative; i++) factorial *= i;
        equations[derivative, size] = factorial;
        double[] solution = Solve(equations);
        double[] weights = new double[window];
        for (int i = 0; i < window; i++)
        {
            for (int power = 0; power < size; power++) weights[i] += solution[power] * Math.Pow(i - position, power);
        }

        return weights;
    }

    /// <summary>Gauss with pivoting; the matrix is symmetric and positive definite, as there are more readings than unknowns.</summary>
    private static double[] Solve(double[,] equations)
    {
        int size = equations.GetLength(0);
        for (int pivot = 0; pivot < size; pivot++)
        {
            int best = pivot;
            for (int row = pivot + 1; row < size; row++)
            {
                if (Math.Abs(equations[row, pivot]) > Math.Abs(equations[best, pivot])) best = row;
            }

            for (int column = 0; column <= size; column++)
            {
                (equations[pivot, column], equations[best, column]) = (equations[best, column], equations[pivot, column]);
            }

            for (int row = 0; row < size; row++)
            {
                double factor = row == pivot ? 0 : equations[row, pivot] / equations[pivot, pivot];
                for (int column = pivot; column <= size; column++) equations[row, column] -= factor * equations[pivot, column];
            }
        }

        double[] solution = new double[size];
        for (int row = 0; row < size; row++) solution[row] = equations[row, size] / equations[row, row];
        return solution;
    }
}
