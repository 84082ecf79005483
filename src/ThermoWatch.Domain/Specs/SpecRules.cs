using ThermoWatch.Domain.Figures;

namespace ThermoWatch.Domain.Specs;

/// <summary>What a well-formed spec may not say, because no run could ever meet it or nobody could tell.</summary>
internal static class SpecRules
{
    /// <summary>Checks a whole spec.</summary>
    /// <param name="spec">The spec.</param>
    /// <param name="limitPaths">Where each of its limits stands in the file.</param>
    /// <param name="faults">Takes what is wrong.</param>
    public static void Check(Spec spec, IReadOnlyList<string> limitPaths, List<SpecFault> faults)
    {
        CheckAlloy(spec.Alloy, "$.alloy", faults);
        foreach ((string channel, Alloy alloy) in spec.ChannelAlloys.OrderBy(p => p.Key, StringComparer.Ordinal))
        {
            CheckAlloy(alloy, $"$.channelAlloys.{channel}", faults);
        }

        if (spec.Soak is { } soak && soak.From >= soak.To)
        {
            faults.Add(new("$.soak", Text($"The soak begins at {soak.From} and ends at {soak.To} degC."), "Let it end above its beginning."));
        }

        for (int i = 0; i < spec.Limits.Length; i++)
        {
            CheckLimit(spec, spec.Limits[i], limitPaths[i], faults);
        }

        LimitPairs.Check(spec, limitPaths, faults);
        if (spec.Fluid is { } fluid)
        {
            VapourRules.Check(spec, limitPaths, new Vapour(fluid, fluid.AtHectopascal), faults);
        }

        VacuumRules.Check(spec, limitPaths, faults);
    }

    /// <summary>How a limit is named beside another: by its document, else by where it stands.</summary>
    public static string NameOf(Limit limit, string path) => limit.Document is { } document ? $"\"{document}\" ({path})" : path;

    public static string Text(FormattableString text) => FormattableString.Invariant(text);

    private static void CheckAlloy(Alloy alloy, string path, List<SpecFault> faults)
    {
        if (alloy.Solidus > alloy.Liquidus)
        {
            faults.Add(new(path, Text($"{alloy.Name}: the solidus {alloy.Solidus} is above the liquidus {alloy.Liquidus} degC."), "Exchange the two."));
        }
    }

    /// <summary>Temperatures, margins and waits may be negative; rates, sums, durations and spreads never.</summary>
    private static bool MayBeNegative(FigureDefinition figure) => figure is
    {
        Name: "peakTemperature" or "sustainedPeak" or "moltenToEvacuation" or "peakToEvacuation" or "moltenAtEvacuation" or "moltenAtVentEnd",
    };

    private static void CheckLimit(Spec spec, Limit limit, string path, List<SpecFault> faults)
    {
        FigureDefinition figure = FigureCatalog.Find(limit.Figure)!;
        if (limit.Lower is null && limit.Upper is null)
        {
            faults.Add(new(path, $"The limit on {limit.Figure} has neither lower nor upper.", "Add one of them."));
        }

        if (figure.NeedsSoak && spec.Soak is null)
        {
            faults.Add(new(path, $"{limit.Figure} depends on the soak, which the spec does not give.", "Add \"soak\" with \"from\" and \"to\"."));
        }

        if (figure.Scope == FigureScope.Vacuum && spec.Vacuum is null)
        {
            faults.Add(new(path, $"{limit.Figure} belongs to the vacuum, which the spec does not give.", "Add \"vacuum\" with \"target\"."));
        }

        if (limit.Level is not null && !figure.TakesLevel)
        {
            faults.Add(new($"{path}.level", $"{limit.Figure} has no level.", "Delete \"level\"."));
        }

        if (figure.Scope != FigureScope.Channel && (!limit.Channels.IsEmpty || !limit.Places.IsEmpty))
        {
            faults.Add(new(path, $"{limit.Figure} does not belong to single channels.", "Delete \"channels\" and \"places\"."));
        }

        if (limit.Upper < 0 && !MayBeNegative(figure))
        {
            faults.Add(new($"{path}.upper",
                Text($"{limit.Figure} is never below zero, but may be at most {limit.Upper} {figure.Unit}."), "Write it without a sign: cooling rates are positive too."));
        }
    }
}
