using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>What people call the figures. The pages call them the same; a test holds both to it.</summary>
public static class FigureNames
{
    private static readonly (string Figure, string English, string German)[] s_names =
    [
        ("peakTemperature", "Peak", "Spitze"),
        ("sustainedPeak", "Peak, held 5 s", "Spitze, 5 s gehalten"),
        ("timeAboveLiquidus", "Above liquidus", "Über Liquidus"),
        ("longestAboveLiquidus", "Longest above liquidus", "Am längsten über Liquidus"),
        ("timeNearPeak", "Near peak", "Nahe der Spitze"),
        ("soakTime", "Soak", "Halten"),
        ("preheatRate", "Preheat rate", "Vorheizrate"),
        ("heatingRate", "Heating, soak to liquidus", "Aufheizen, Halten bis Liquidus"),
        ("slopeAtLiquidus", "Slope at liquidus", "Steigung bei Liquidus"),
        ("steepestHeating", "Steepest heating", "Steilstes Aufheizen"),
        ("rampUpRate", "Ramp-up", "Anstieg"),
        ("coolingRate", "Cooling, liquidus to −50 K", "Abkühlen, Liquidus bis −50 K"),
        ("rampDownRate", "Ramp-down", "Abfall"),
        ("steepestCooling", "Steepest cooling", "Steilstes Abkühlen"),
        ("timeToPeak", "Time to peak", "Zeit bis Spitze"),
        ("heatAboveLiquidus", "Heat above liquidus", "Wärme über Liquidus"),
        ("peakSpread", "Peak spread", "Streuung der Spitzen"),
        ("liquidusSpread", "Liquidus spread", "Streuung bei Liquidus"),
        ("soakEndSpread", "Spread at soak end", "Streuung am Halteende"),
        ("greatestSpread", "Greatest spread", "Größte Streuung"),
        ("cycleTime", "Cycle time", "Zykluszeit"),
        ("pumpDownTime", "Pump-down", "Abpumpen"),
        ("lowestPressure", "Lowest pressure", "Tiefster Druck"),
        ("vacuumHold", "Vacuum hold", "Vakuum halten"),
        ("steepestEvacuation", "Steepest evacuation", "Steilste Evakuierung"),
        ("ventTime", "Vent", "Belüften"),
        ("steepestVent", "Steepest vent", "Steilste Belüftung"),
        ("moltenToEvacuation", "Liquid to evacuation", "Flüssig bis Evakuierung"),
        ("moltenAtEvacuation", "Molten at evacuation", "Flüssig bei Evakuierung"),
        ("moltenAtVentEnd", "Molten at vent end", "Flüssig am Belüftungsende"),
        ("moltenVacuum", "Molten under vacuum", "Flüssig unter Vakuum"),
        ("peakToEvacuation", "Peak to evacuation", "Spitze bis Evakuierung"),
        ("voidExpansion", "Void expansion", "Porenausdehnung"),
        ("evacuations", "Evacuations", "Evakuierungen"),
        ("vapourPlateau", "Vapour plateau", "Dampfplateau"),
        ("vapourResidual", "Residual to expected", "Abstand zur Erwartung"),
        ("vapourDip", "Dip on loading", "Einbruch beim Laden"),
        ("vapourRecovery", "Recovery time", "Erholzeit"),
        ("timeInVapour", "Time in vapour", "Zeit im Dampf"),
        ("transportSoak", "Transport soak", "Halten des Transports"),
        ("transportSoakTime", "Transport soak, time", "Halten des Transports, Dauer"),
    ];

    /// <summary>In English, by the figure's name in specs.</summary>
    public static FrozenDictionary<string, string> English { get; } = s_names.ToFrozenDictionary(n => n.Figure, n => n.English);

    /// <summary>In German.</summary>
    public static FrozenDictionary<string, string> German { get; } = s_names.ToFrozenDictionary(n => n.Figure, n => n.German);
}
