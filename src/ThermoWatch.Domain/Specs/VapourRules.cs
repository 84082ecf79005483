using ThermoWatch.Domain.Figures;

namespace ThermoWatch.Domain.Specs;

/// <summary>A fluid's vapour at a pressure.</summary>
/// <param name="Fluid">The fluid.</param>
/// <param name="Hectopascal">Absolute pressure, hPa.</param>
internal sealed record Vapour(Fluid Fluid, double Hectopascal)
{
    /// <summary>Its temperature.</summary>
    public BoilingPoint Temperature { get; } = BoilingPoint.At(Fluid, Hectopascal);

    public override string ToString() => SpecRules.Text($"the vapour of fluid \"{Fluid.Name}\" is {Math.Round(Temperature.Celsius, 1)} degC at {Math.Round(Hectopascal, 1)} hPa");
}

/// <summary>What no board can do in the vapour of the spec's fluid, and what every board does in it.</summary>
/// <remarks>Refused is only what holds with every evaporation enthalpy that the fluid may have.</remarks>
internal static class VapourRules
{
    public static void Check(Spec spec, IReadOnlyList<string> paths, Vapour vapour, List<SpecFault> faults)
    {
        CheckAlloy(spec.Alloy, "$.alloy", vapour, faults);
        foreach ((string channel, Alloy alloy) in spec.ChannelAlloys.OrderBy(p => p.Key, StringComparer.Ordinal))
        {
            CheckAlloy(alloy, $"$.channelAlloys.{channel}", vapour, faults);
        }

        if (spec.Soak is { } soak && soak.To > vapour.Temperature.High)
        {
            faults.Add(new("$.soak.to", SpecRules.Text($"The soak ends at {soak.To} degC, but {vapour}: it never ends."), "Let it end below the vapour's temperature."));
        }

        if (spec.Classification < vapour.Temperature.Low)
        {
            faults.Add(new("$.classification",
                SpecRules.Text($"The component is classified to {spec.Classification} degC, but {vapour}: its ceiling is passed in every run."),
                "Choose a fluid that boils below the classification temperature, or another component."));
        }

        for (int i = 0; i < spec.Limits.Length; i++)
        {
            CheckReach(spec, spec.Limits[i], paths[i], vapour, faults);
            CheckCeiling(spec.Limits[i], paths[i], vapour, faults);
        }
    }

    private static void CheckAlloy(Alloy alloy, string path, Vapour vapour, List<SpecFault> faults)
    {
        if (alloy.Liquidus >= vapour.Temperature.High)
        {
            faults.Add(new(path, SpecRules.Text($"{alloy.Name} melts at {alloy.Liquidus} degC, but {vapour}: it never melts."),
                "Choose a fluid that boils above the liquidus, or another alloy."));
        }
    }

    /// <summary>A temperature that is asked for must be below that of the vapour.</summary>
    private static void CheckReach(Spec spec, Limit limit, string path, Vapour vapour, List<SpecFault> faults)
    {
        double? asked = limit.Figure switch
        {
            "peakTemperature" or "sustainedPeak" => limit.Lower,
            "timeAboveLiquidus" or "longestAboveLiquidus" or "heatAboveLiquidus" when limit.Lower > 0 => limit.Level,
            "moltenAtEvacuation" or "moltenAtVentEnd" => limit.Lower + spec.ChannelAlloys.Values.Append(spec.Alloy).Max(a => a.Liquidus),
            _ => null,
        };
        if (asked > vapour.Temperature.High)
        {
            string reach = SpecRules.Text($"{limit.Figure} must be at least {limit.Lower} {FigureCatalog.Find(limit.Figure)!.Unit}")
                + (limit.Figure is "peakTemperature" or "sustainedPeak" ? "" : SpecRules.Text($", so a joint must reach {asked} degC"));
            faults.Add(new($"{path}.lower", $"{reach} by {SpecRules.NameOf(limit, path)}, but {vapour}.", "Lower the limit, or choose a fluid that boils above it."));
        }
    }

    /// <summary>What stands in saturated vapour takes its temperature, wherever on the board it is.</summary>
    private static void CheckCeiling(Limit limit, string path, Vapour vapour, List<SpecFault> faults)
    {
        if (limit.Figure is "peakTemperature" or "sustainedPeak" && limit.Upper < vapour.Temperature.Low)
        {
            faults.Add(new($"{path}.upper",
                SpecRules.Text($"{limit.Figure} may be at most {limit.Upper} degC by {SpecRules.NameOf(limit, path)}, but {vapour}."),
                "Choose a fluid that boils below the ceiling, or another component."));
        }
    }
}
