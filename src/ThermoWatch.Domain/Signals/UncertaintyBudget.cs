namespace ThermoWatch.Domain.Signals;

/// <summary>How a contribution is stated, and so what it is divided by.</summary>
public enum UncertaintyForm
{
    /// <summary>Standard uncertainty, from repeated readings or a fit.</summary>
    Standard = 0,

    /// <summary>Half width of limits within which every value is as likely: divided by √3.</summary>
    HalfWidth = 1,

    /// <summary>Smallest step of a display or converter: divided by √12.</summary>
    Resolution = 2,

    /// <summary>Expanded uncertainty of a certificate with k = 2: divided by 2.</summary>
    ExpandedTwice = 3,
}

/// <summary>One line of a budget.</summary>
/// <param name="Name">What contributes, for people.</param>
/// <param name="Stated">As its source states it, in its own unit.</param>
/// <param name="Form">How it is stated.</param>
/// <param name="Sensitivity">Change of the result for a change of this quantity.</param>
/// <param name="Source">Standard, certificate or person that states it.</param>
/// <param name="DegreesOfFreedom">How sure the contribution itself is; infinite for stated limits.</param>
public sealed record UncertaintyLine(
    string Name,
    double Stated,
    UncertaintyForm Form,
    string Source = "",
    double Sensitivity = 1,
    double DegreesOfFreedom = double.PositiveInfinity)
{
    /// <summary>Whether channels of one spool, one cable and one instrument have it in common, so that it drops out of their differences.</summary>
    public bool IsShared { get; init; }

    /// <summary>What the stated figure is divided by.</summary>
    public double Divisor => Form switch
    {
        UncertaintyForm.HalfWidth => Math.Sqrt(3),
        UncertaintyForm.Resolution => Math.Sqrt(12),
        UncertaintyForm.ExpandedTwice => 2,
        _ => 1,
    };

    /// <summary>Standard uncertainty that it brings into the result, in the result's unit.</summary>
    public double Contribution => Math.Abs(Sensitivity) * Stated / Divisor;
}

/// <summary>Where the uncertainty of a reading comes from, line by line.</summary>
/// <remarks>JCGM 100 (GUM): uncorrelated contributions, U = 2 u for about 95 %.</remarks>
/// <param name="Lines">The contributions that are known.</param>
/// <param name="NotIncluded">What is missing although it contributes, to be said beside every U.</param>
/// <param name="Unknown">Why no U can be stated at all; null when it can.</param>
public sealed record UncertaintyBudget(IReadOnlyList<UncertaintyLine> Lines, IReadOnlyList<string> NotIncluded, string? Unknown = null)
{
    /// <summary>Combined standard uncertainty; null when it is not known.</summary>
    public double? Combined => Unknown is null ? Math.Sqrt(Lines.Sum(line => line.Contribution * line.Contribution)) : null;

    /// <summary>The part of <see cref="Combined"/> that channels of one spool and one instrument share; null when it is not known.</summary>
    public double? Common => PartOf(isShared: true);

    /// <summary>The part of <see cref="Combined"/> that the channel has for itself; null when it is not known.</summary>
    public double? Own => PartOf(isShared: false);

    /// <summary>Expanded uncertainty U = 2 u; null when it is not known.</summary>
    public double? Expanded => 2 * Combined;

    /// <summary>Effective degrees of freedom (Welch-Satterthwaite); infinite when every line's are. Null when U is not known.</summary>
    public double? EffectiveDegreesOfFreedom => Combined is { } combined
        ? Math.Pow(combined, 4) / Lines.Sum(line => Math.Pow(line.Contribution, 4) / line.DegreesOfFreedom)
        : null;

    private double? PartOf(bool isShared) => Unknown is null
        ? Math.Sqrt(Lines.Where(line => line.IsShared == isShared).Sum(line => line.Contribution * line.Contribution))
        : null;
}
