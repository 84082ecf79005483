namespace ThermoWatch.Domain.Signals;

/// <summary>All calibrations of a channel. A reading takes the one that held when it was measured.</summary>
/// <remarks>To see history with another calibration, convert the raw record again with another history: beside the old result, never over it.</remarks>
public sealed record CalibrationHistory
{
    private readonly Calibration[] _calibrations;

    /// <param name="calibrations">In any order; versions and starts must rise together.</param>
    /// <exception cref="ArgumentException">Two have the same start, or a later version starts earlier.</exception>
    public CalibrationHistory(IEnumerable<Calibration> calibrations)
    {
        _calibrations = [.. calibrations.OrderBy(calibration => calibration.Version)];
        for (int i = 1; i < _calibrations.Length; i++)
        {
            if (_calibrations[i].ValidFrom <= _calibrations[i - 1].ValidFrom || _calibrations[i].Version == _calibrations[i - 1].Version)
            {
                throw new ArgumentException($"Calibration version {_calibrations[i].Version} must start later than version {_calibrations[i - 1].Version}.", nameof(calibrations));
            }
        }
    }

    /// <summary>No calibration: values are as the instrument gives them.</summary>
    public static CalibrationHistory Empty { get; } = new([]);

    /// <summary>All of them, oldest first.</summary>
    public IReadOnlyList<Calibration> Calibrations => _calibrations;

    /// <summary>The calibration that held at a moment; null before the first.</summary>
    public Calibration? At(Timestamp time)
    {
        for (int i = _calibrations.Length - 1; i >= 0; i--)
        {
            if (_calibrations[i].ValidFrom <= time) return _calibrations[i];
        }

        return null;
    }

    /// <summary>One calibration for all of history, as if it had always held: what a failed check makes of past runs.</summary>
    public static CalibrationHistory Always(Calibration calibration) => new([calibration with { ValidFrom = new Timestamp(0) }]);

    /// <summary>The same calibrations.</summary>
    public bool Equals(CalibrationHistory? other) => other is not null && _calibrations.SequenceEqual(other._calibrations);

    /// <inheritdoc/>
    public override int GetHashCode() => _calibrations.Length;
}
