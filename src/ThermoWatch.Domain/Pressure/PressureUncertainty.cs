using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Pressure;

/// <summary>What is known of a gauge's errors. What is null is not known, and said so.</summary>
/// <remarks>Logarithmic gauges err by a factor: their uncertainty is a share of the reading, 10 to 30 % (common practice).</remarks>
public sealed record PressureUncertainty
{
    /// <summary>Half width that does not depend on the reading, mbar.</summary>
    public double? InstrumentMillibar { get; init; }

    /// <summary>Half width as a share of the reading: 0.15 for 15 %.</summary>
    public double? InstrumentShare { get; init; }

    /// <summary>Smallest step, mbar.</summary>
    public double? ResolutionMillibar { get; init; }

    /// <summary>Half width of the ambient pressure that a relative gauge adds, mbar; null for an absolute gauge.</summary>
    public double? AmbientMillibar { get; init; }

    /// <summary>Whether the gauge's reading depends on the gas, so that in fluid vapour it is an air equivalent only.</summary>
    public bool IsGasDependent { get; init; }

    /// <summary>The budget of one reading, in mbar.</summary>
    public UncertaintyBudget BudgetAt(double millibar, Calibration? calibration = null)
    {
        List<UncertaintyLine> lines = [];
        List<string> missing = [];
        if (calibration?.ExpandedUncertainty is { } expanded)
        {
            lines.Add(new UncertaintyLine("calibration", expanded / calibration.CoverageFactor, UncertaintyForm.Standard, calibration.Certificate));
        }
        else
        {
            if (InstrumentMillibar is { } fixedPart) lines.Add(new UncertaintyLine("instrument", fixedPart, UncertaintyForm.HalfWidth, "as stated"));
            if (InstrumentShare is { } share) lines.Add(new UncertaintyLine("instrument, share of the reading", share, UncertaintyForm.HalfWidth, "as stated", millibar));
        }

        string? unknown = lines.Count == 0 ? "the gauge's own uncertainty is not known" : null;
        if (ResolutionMillibar is { } step) lines.Add(new UncertaintyLine("resolution", step, UncertaintyForm.Resolution, "as stated"));
        else missing.Add("resolution not included");
        if (AmbientMillibar is { } ambient) lines.Add(new UncertaintyLine("ambient pressure", ambient, UncertaintyForm.HalfWidth, "as stated"));
        if (IsGasDependent) missing.Add("kind of gas not included: air equivalent");
        return new UncertaintyBudget(lines, missing, unknown);
    }
}
