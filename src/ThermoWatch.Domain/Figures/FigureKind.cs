using System.Collections.Immutable;

namespace ThermoWatch.Domain.Figures;

/// <summary>Every figure, in the order in which judgements list them.</summary>
internal enum FigureKind
{
    PeakTemperature,
    SustainedPeak,
    TimeAboveLiquidus,
    LongestAboveLiquidus,
    TimeNearPeak,
    SoakTime,
    PreheatRate,
    HeatingRate,
    SlopeAtLiquidus,
    SteepestHeating,
    RampUpRate,
    CoolingRate,
    RampDownRate,
    SteepestCooling,
    TimeToPeak,
    HeatAboveLiquidus,
    PeakSpread,
    LiquidusSpread,
    SoakEndSpread,
    GreatestSpread,
    CycleTime,
    PumpDownTime,
    LowestPressure,
    VacuumHold,
    SteepestEvacuation,
    VentTime,
    SteepestVent,
    MoltenToEvacuation,
    MoltenAtEvacuation,
    MoltenAtVentEnd,
    MoltenVacuum,
    PeakToEvacuation,
    VoidExpansion,
    Evacuations,

    // Of runs without product sensors alone: no limit may ask for them.
    VapourPlateau,
    VapourResidual,
    VapourDip,
    VapourRecovery,
    TimeInVapour,
    TransportSoak,
    TransportSoakTime,
}

/// <summary>What a figure belongs to.</summary>
public enum FigureScope
{
    /// <summary>One product channel.</summary>
    Channel,

    /// <summary>All product channels of a carrier.</summary>
    Carrier,

    /// <summary>The chamber.</summary>
    Vacuum,

    /// <summary>The vapour and the transport, of runs without product sensors.</summary>
    Vapour,
}

/// <summary>A figure's name, unit and scope.</summary>
/// <param name="Name">As in specs and judgements.</param>
/// <param name="Unit">Unit of its values and limits.</param>
/// <param name="Scope">What it belongs to.</param>
/// <param name="NeedsSoak">Whether a limit on it needs a soak band in the spec.</param>
/// <param name="TakesLevel">Whether a limit on it may name its own level.</param>
public sealed record FigureDefinition(string Name, string Unit, FigureScope Scope, bool NeedsSoak = false, bool TakesLevel = false);

/// <summary>The list of all figures.</summary>
public static class FigureCatalog
{
    /// <summary>All figures, in the order in which judgements list them.</summary>
    public static ImmutableArray<FigureDefinition> All { get; } =
    [
        new("peakTemperature", "degC", FigureScope.Channel),
        new("sustainedPeak", "degC", FigureScope.Channel),
        new("timeAboveLiquidus", "s", FigureScope.Channel, TakesLevel: true),
        new("longestAboveLiquidus", "s", FigureScope.Channel, TakesLevel: true),
        new("timeNearPeak", "s", FigureScope.Channel),
        new("soakTime", "s", FigureScope.Channel, NeedsSoak: true),
        new("preheatRate", "K/s", FigureScope.Channel, NeedsSoak: true),
        new("heatingRate", "K/s", FigureScope.Channel, NeedsSoak: true),
        new("slopeAtLiquidus", "K/s", FigureScope.Channel),
        new("steepestHeating", "K/s", FigureScope.Channel),
        new("rampUpRate", "K/s", FigureScope.Channel),
        new("coolingRate", "K/s", FigureScope.Channel),
        new("rampDownRate", "K/s", FigureScope.Channel),
        new("steepestCooling", "K/s", FigureScope.Channel),
        new("timeToPeak", "s", FigureScope.Channel),
        new("heatAboveLiquidus", "K·s", FigureScope.Channel, TakesLevel: true),
        new("peakSpread", "K", FigureScope.Carrier),
        new("liquidusSpread", "s", FigureScope.Carrier),
        new("soakEndSpread", "K", FigureScope.Carrier, NeedsSoak: true),
        new("greatestSpread", "K", FigureScope.Carrier, NeedsSoak: true),
        new("cycleTime", "s", FigureScope.Carrier),
        new("pumpDownTime", "s", FigureScope.Vacuum),
        new("lowestPressure", "mbar", FigureScope.Vacuum),
        new("vacuumHold", "s", FigureScope.Vacuum),
        new("steepestEvacuation", "1/s", FigureScope.Vacuum),
        new("ventTime", "s", FigureScope.Vacuum),
        new("steepestVent", "mbar/s", FigureScope.Vacuum),
        new("moltenToEvacuation", "s", FigureScope.Vacuum),
        new("moltenAtEvacuation", "K", FigureScope.Vacuum),
        new("moltenAtVentEnd", "K", FigureScope.Vacuum),
        new("moltenVacuum", "s", FigureScope.Vacuum),
        new("peakToEvacuation", "s", FigureScope.Vacuum),
        new("voidExpansion", "1", FigureScope.Vacuum),
        new("evacuations", "1", FigureScope.Vacuum),
    ];

    /// <summary>The figure of that name; null if there is none.</summary>
    public static FigureDefinition? Find(string name) => All.FirstOrDefault(f => f.Name == name);

    internal const int ChannelFigures = (int)FigureKind.HeatAboveLiquidus + 1;

    /// <summary>Figures by which runs without product sensors are compared, beside those of the chamber. No limit may ask for them.</summary>
    public static ImmutableArray<FigureDefinition> Compared { get; } =
    [
        new("vapourPlateau", "degC", FigureScope.Vapour),
        new("vapourResidual", "K", FigureScope.Vapour),
        new("vapourDip", "K", FigureScope.Vapour),
        new("vapourRecovery", "s", FigureScope.Vapour),
        new("timeInVapour", "s", FigureScope.Vapour),
        new("transportSoak", "degC", FigureScope.Vapour),
        new("transportSoakTime", "s", FigureScope.Vapour),
    ];

    internal static FigureDefinition Of(FigureKind kind) => (int)kind < All.Length ? All[(int)kind] : Compared[(int)kind - All.Length];
}
