namespace ThermoWatch.Domain.Signals;

/// <summary>How a transmitter's signal (V, or mA) stands for what it measures.</summary>
public abstract record AnalogueLaw
{
    private AnalogueLaw() { }

    /// <summary>The measured quantity; the result may be beyond a number's range, which the caller must expect.</summary>
    /// <param name="signal">V or mA, finite.</param>
    public abstract double Apply(double signal);

    /// <summary>A straight line through two points: 0 to 10 V, 4 to 20 mA.</summary>
    /// <param name="FromSignal">Signal of the first point.</param>
    /// <param name="ToSignal">Signal of the second point; another one.</param>
    /// <param name="FromValue">Measured quantity at the first point.</param>
    /// <param name="ToValue">Measured quantity at the second point.</param>
    public sealed record Linear(double FromSignal, double ToSignal, double FromValue, double ToValue) : AnalogueLaw
    {
        /// <inheritdoc/>
        public override double Apply(double signal) =>
            FromValue + ((signal - FromSignal) / (ToSignal - FromSignal) * (ToValue - FromValue));
    }

    /// <summary>Wide-range gauges: p = 10^((U - a) / b).</summary>
    /// <remarks>An error of the signal is a factor of the pressure: 0.01 V at 0.6 V a decade is 3.9 %.</remarks>
    /// <param name="A">Signal at which the result is 1, in V.</param>
    /// <param name="B">Signal of a decade, in V; not zero.</param>
    public sealed record Logarithmic(double A, double B) : AnalogueLaw
    {
        /// <inheritdoc/>
        public override double Apply(double signal) => Math.Pow(10, (signal - A) / B);
    }

    /// <summary>Gauges that give two digits: the half volts are the exponent, the rest the mantissa.</summary>
    /// <remarks>Exponent = floor(2U) - 6, mantissa = 1 + 18U - 9 (exponent + 6). Source: a thermal vacuum gauge's manual.</remarks>
    public sealed record PseudoLogarithmic : AnalogueLaw
    {
        /// <inheritdoc/>
        public override double Apply(double signal)
        {
            double exponent = Math.Floor(2 * signal) - 6;
            return (1 + (18 * signal) - (9 * (exponent + 6))) * Math.Pow(10, exponent);
        }
    }

    /// <summary>Straight lines between points of a maker's table. Beyond its ends there is no value.</summary>
    public sealed record Table : AnalogueLaw
    {
        private readonly double[] _signals;
        private readonly double[] _values;

        /// <param name="points">Signal and value; at least two, signals rising.</param>
        /// <exception cref="ArgumentException">Fewer than two points, or signals that do not rise.</exception>
        public Table(IReadOnlyList<(double Signal, double Value)> points)
        {
            _signals = [.. points.Select(point => point.Signal)];
            _values = [.. points.Select(point => point.Value)];
            if (points.Count < 2) throw new ArgumentException("A table needs at least two points.", nameof(points));
            for (int i = 1; i < _signals.Length; i++)
            {
                if (!(_signals[i] > _signals[i - 1])) throw new ArgumentException($"Signals must rise; point {i + 1} does not.", nameof(points));
            }
        }

        /// <summary>The maker's points, signals rising.</summary>
        public IReadOnlyList<(double Signal, double Value)> Points => [.. _signals.Zip(_values)];

        /// <inheritdoc/>
        public override double Apply(double signal)
        {
            if (signal < _signals[0] || signal > _signals[^1]) return double.NaN;
            int upper = 1;
            while (_signals[upper] < signal) upper++;
            double share = (signal - _signals[upper - 1]) / (_signals[upper] - _signals[upper - 1]);
            return _values[upper - 1] + (share * (_values[upper] - _values[upper - 1]));
        }

        /// <summary>The same points.</summary>
        public bool Equals(Table? other) =>
            other is not null && _signals.AsSpan().SequenceEqual(other._signals) && _values.AsSpan().SequenceEqual(other._values);

        /// <inheritdoc/>
        public override int GetHashCode() => HashCode.Combine(_signals.Length, _signals[0], _values[^1]);
    }
}
