namespace ThermoWatch.Domain.Signals;

/// <summary>One point of a certificate.</summary>
/// <param name="Indicated">What the channel showed.</param>
/// <param name="Reference">What it should have shown.</param>
public readonly record struct CalibrationPoint(double Indicated, double Reference);

/// <summary>What a certificate says of a channel: applied when readings are made, never to the raw record.</summary>
/// <remarks>
/// One point is an offset. Two are a straight line, continued beyond them. With more, the correction is interpolated between
/// neighbours and held beyond the ends, as a certificate says nothing there (common practice).
/// </remarks>
public sealed record Calibration
{
    private readonly CalibrationPoint[] _points;

    /// <param name="points">At least one; finite; indicated values rising.</param>
    /// <exception cref="ArgumentException">They are not.</exception>
    public Calibration(IReadOnlyList<CalibrationPoint> points)
    {
        _points = [.. points];
        if (_points.Length == 0) throw new ArgumentException("A calibration needs at least one point.", nameof(points));
        for (int i = 0; i < _points.Length; i++)
        {
            if (!double.IsFinite(_points[i].Indicated) || !double.IsFinite(_points[i].Reference)
                || (i > 0 && _points[i].Indicated <= _points[i - 1].Indicated))
            {
                throw new ArgumentException($"Indicated values must be numbers and rise; point {i + 1} does not.", nameof(points));
            }
        }
    }

    /// <summary>From 1, one more for each calibration of the channel; every derived result names it.</summary>
    public required int Version { get; init; }

    /// <summary>From when on it holds; usually the moment it was made.</summary>
    public required Timestamp ValidFrom { get; init; }

    /// <summary>When the next one is due; null if nobody has said so.</summary>
    public Timestamp? Due { get; init; }

    /// <summary>Number of the certificate, and who gave it.</summary>
    public string Certificate { get; init; } = "";

    /// <summary>Expanded uncertainty of the certificate, in the channel's unit; null if it states none.</summary>
    public double? ExpandedUncertainty { get; init; }

    /// <summary>Coverage factor of <see cref="ExpandedUncertainty"/>.</summary>
    public double CoverageFactor { get; init; } = 2;

    /// <summary>The certificate's points.</summary>
    public IReadOnlyList<CalibrationPoint> Points => _points;

    /// <summary>The corrected value.</summary>
    public double Apply(double indicated) => indicated + CorrectionAt(indicated);

    /// <summary>What is added to an indicated value, in the channel's unit.</summary>
    public double CorrectionAt(double indicated)
    {
        if (_points.Length == 1) return Correction(0);
        if (_points.Length == 2) return Between(0, indicated);
        if (indicated <= _points[0].Indicated) return Correction(0);
        for (int i = 0; i < _points.Length - 1; i++)
        {
            if (indicated <= _points[i + 1].Indicated) return Between(i, indicated);
        }

        return Correction(_points.Length - 1);
    }

    /// <summary>Whether the next calibration should have been made by now.</summary>
    public bool IsOverdue(Timestamp now) => Due is { } due && now > due;

    /// <summary>The same certificate.</summary>
    public bool Equals(Calibration? other) => other is not null
        && (Version, ValidFrom, Due, Certificate, ExpandedUncertainty, CoverageFactor)
            == (other.Version, other.ValidFrom, other.Due, other.Certificate, other.ExpandedUncertainty, other.CoverageFactor)
        && _points.AsSpan().SequenceEqual(other._points);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Version, ValidFrom, Certificate);

    private double Correction(int point) => _points[point].Reference - _points[point].Indicated;

    private double Between(int lower, double indicated)
    {
        double share = (indicated - _points[lower].Indicated) / (_points[lower + 1].Indicated - _points[lower].Indicated);
        return Correction(lower) + (share * (Correction(lower + 1) - Correction(lower)));
    }
}
