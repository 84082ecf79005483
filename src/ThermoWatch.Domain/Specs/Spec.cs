using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Specs;

/// <summary>How a value near its limit is decided.</summary>
public enum DecisionRule
{
    /// <summary>Value against limit; the uncertainty is shown.</summary>
    Simple,

    /// <summary>Met only if met by value ± U, broken only if broken by both (ISO 14253-1, ILAC-G8).</summary>
    Guarded,
}

/// <summary>A solder alloy.</summary>
/// <param name="Name">As on the paste's sheet.</param>
/// <param name="Solidus">°C.</param>
/// <param name="Liquidus">°C, not below the solidus.</param>
public sealed record Alloy(string Name, double Solidus, double Liquidus);

/// <summary>The heat transfer fluid.</summary>
/// <param name="Name">As on its sheet.</param>
/// <param name="BoilingPoint">°C at <paramref name="AtHectopascal"/>.</param>
/// <param name="AtHectopascal">Pressure of the boiling point, hPa.</param>
/// <param name="EvaporationKilojoulePerMol">Enthalpy of evaporation, kJ/mol; null if not known.</param>
public sealed record Fluid(string Name, double BoilingPoint, double AtHectopascal, double? EvaporationKilojoulePerMol = null);

/// <summary>The band in which the boards are to equalise.</summary>
/// <param name="From">°C; the soak begins when it is passed.</param>
/// <param name="To">°C; the soak ends when it is passed.</param>
public sealed record SoakBand(double From, double To);

/// <summary>A wanted evacuation.</summary>
/// <param name="Purpose"><c>void</c> (solder molten) or <c>preheat</c>.</param>
/// <param name="TargetMillibar">Pressure to reach, mbar absolute.</param>
public sealed record VacuumStepSpec(string Purpose, double TargetMillibar);

/// <summary>What the vacuum must reach.</summary>
/// <param name="TargetMillibar">Pressure to reach, mbar absolute.</param>
/// <param name="Steps">Steps in order; empty if the spec does not name them.</param>
public sealed record VacuumSpec(double TargetMillibar, ImmutableArray<VacuumStepSpec> Steps)
{
    /// <summary>Pressure that the void steps must reach, the lowest if they differ, mbar absolute.</summary>
    public double VoidTargetMillibar => Steps.Where(s => s.Purpose == "void").Select(s => s.TargetMillibar).DefaultIfEmpty(TargetMillibar).Min();

    /// <summary>Pressure that a run's evacuation must reach, mbar absolute.</summary>
    /// <param name="step">Its place among the evacuations of the run, from 0.</param>
    public double TargetOf(int step) => step < Steps.Length ? Steps[step].TargetMillibar : TargetMillibar;
}

/// <summary>What is known of the measurement chain (half widths; definitions by IEC 60584-1 and -3).</summary>
/// <param name="Class">Tolerance class of the thermocouple, 1 or 2.</param>
/// <param name="Extension">Tolerance class of the extension cable, 1 or 2; null without one.</param>
/// <param name="ColdJunctionKelvin">Half width of the reference junction, K.</param>
/// <param name="InstrumentKelvin">Half width of the instrument, K.</param>
/// <param name="ResolutionKelvin">Smallest step, K.</param>
/// <param name="AttachmentKelvin">Estimate for the attachment, K; null if not known.</param>
public sealed record MeasurementChain(
    int Class, int? Extension, double ColdJunctionKelvin, double InstrumentKelvin, double ResolutionKelvin, double? AttachmentKelvin)
{
    /// <summary>Half width of the chamber's gauge that does not depend on the reading, mbar; null if not known.</summary>
    public double? GaugeMillibar { get; init; }

    /// <summary>Half width of the chamber's gauge as a share of the reading; null if not known.</summary>
    public double? GaugeShare { get; init; }
}

/// <summary>One acceptance limit.</summary>
public sealed record Limit
{
    /// <summary>Name of the figure.</summary>
    public required string Figure { get; init; }

    /// <summary>Least allowed, in the figure's unit; null if none.</summary>
    public double? Lower { get; init; }

    /// <summary>Most allowed, in the figure's unit; null if none.</summary>
    public double? Upper { get; init; }

    /// <summary>Level of a time above, °C; null: the channel's liquidus.</summary>
    public double? Level { get; init; }

    /// <summary>Ids of the channels it holds for; empty: by place.</summary>
    public ImmutableArray<string> Channels { get; init; } = [];

    /// <summary>Places it holds for; empty: every channel of the figure's kind but air.</summary>
    public ImmutableArray<Place> Places { get; init; } = [];

    /// <summary>Weight.</summary>
    public Severity Severity { get; init; } = Severity.Fail;

    /// <summary>Decision rule; null: that of the spec.</summary>
    public DecisionRule? Uncertainty { get; init; }

    /// <summary>Paper that asks for it; null if none.</summary>
    public string? Document { get; init; }
}

/// <summary>The versioned acceptance limits of one product with one alloy.</summary>
/// <remarks>A version that has judged a run never changes again.</remarks>
public sealed record Spec
{
    /// <summary>Name of the product and its variant.</summary>
    public required string Name { get; init; }

    /// <summary>Version, from 1.</summary>
    public required int Version { get; init; }

    /// <summary>Product that it is for, as the plant calls it; null if the spec does not say.</summary>
    public string? Product { get; init; }

    /// <summary>Number of the machine's recipe that the product asks for; null if the spec does not say.</summary>
    public int? Recipe { get; init; }

    /// <summary>What a scanned code of the product begins with; empty if the spec does not say.</summary>
    public ImmutableArray<string> Codes { get; init; } = [];

    /// <summary>The solder.</summary>
    public required Alloy Alloy { get; init; }

    /// <summary>Other alloys, by channel id.</summary>
    public ImmutableDictionary<string, Alloy> ChannelAlloys { get; init; } = ImmutableDictionary<string, Alloy>.Empty;

    /// <summary>The fluid; null if the spec does not name it.</summary>
    public Fluid? Fluid { get; init; }

    /// <summary>The soak band; null without soak limits.</summary>
    public SoakBand? Soak { get; init; }

    /// <summary>The vacuum; null without one.</summary>
    public VacuumSpec? Vacuum { get; init; }

    /// <summary>Classification temperature of J-STD-020, °C; null: the channel's own peak is the reference.</summary>
    public double? Classification { get; init; }

    /// <summary>Window of the steepest slopes, s.</summary>
    public double SlopeWindow { get; init; } = 5;

    /// <summary>How a value near its limit is decided.</summary>
    public DecisionRule Uncertainty { get; init; }

    /// <summary>What is known of the measurement chain; null: uncertainties are not known.</summary>
    public MeasurementChain? Measurement { get; init; }

    /// <summary>The limits; may be empty, then every verdict is undetermined.</summary>
    public required ImmutableArray<Limit> Limits { get; init; }

    /// <summary>The alloy that holds for a channel.</summary>
    public Alloy AlloyOf(string channelId) => ChannelAlloys.GetValueOrDefault(channelId, Alloy);
}
