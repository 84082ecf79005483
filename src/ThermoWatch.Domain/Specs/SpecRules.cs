using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Specs;

/// <summary>What a well-formed spec may not say, because no run could ever meet it or nobody could tell.</summary>
internal static class SpecRules
{
    public static void Check(Spec spec, List<SpecFault> faults)
    {
        CheckAlloy(spec, spec.Alloy, "$.alloy", faults);
        foreach ((string channel, Alloy alloy) in spec.ChannelAlloys.OrderBy(p => p.Key, StringComparer.Ordinal))
        {
            CheckAlloy(spec, alloy, $"$.channelAlloys.{channel}", faults);
        }

        if (spec.Soak is { } soak && soak.From >= soak.To)
        {
            faults.Add(new("$.soak", Text($"The soak begins at {soak.From} and ends at {soak.To} degC."), "Let it end above its beginning."));
        }

        for (int i = 0; i < spec.Limits.Length; i++)
        {
            CheckLimit(spec, spec.Limits[i], $"$.limits[{i}]", faults);
            for (int other = 0; other < spec.Limits.Length; other++)
            {
                CheckPair(spec.Limits[i], spec.Limits[other], $"$.limits[{i}]", $"$.limits[{other}]", i == other, faults);
            }
        }
    }

    private static void CheckAlloy(Spec spec, Alloy alloy, string path, List<SpecFault> faults)
    {
        if (alloy.Solidus > alloy.Liquidus)
        {
            faults.Add(new(path, Text($"{alloy.Name}: the solidus {alloy.Solidus} is above the liquidus {alloy.Liquidus} degC."), "Exchange the two."));
        }

        if (spec.Fluid is { } fluid && alloy.Liquidus >= fluid.BoilingPoint)
        {
            faults.Add(new(path,
                Text($"{alloy.Name} melts at {alloy.Liquidus} degC, but the vapour of fluid {fluid.Name} is {fluid.BoilingPoint} degC: it never melts."),
                "Choose a fluid that boils above the liquidus, or another alloy."));
        }
    }

    private static void CheckLimit(Spec spec, Limit limit, string path, List<SpecFault> faults)
    {
        if (FigureCatalog.Find(limit.Figure) is not { } figure)
        {
            faults.Add(new($"{path}.figure", $"There is no figure \"{limit.Figure}\".", $"Use one of: {string.Join(", ", FigureCatalog.All.Select(f => f.Name))}."));
            return;
        }

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
            faults.Add(new($"{path}.level", $"{limit.Figure} has no level.", "Remove \"level\"."));
        }

        if (figure.Scope != FigureScope.Channel && (!limit.Channels.IsEmpty || !limit.Places.IsEmpty))
        {
            faults.Add(new(path, $"{limit.Figure} does not belong to single channels.", "Remove \"channels\" and \"places\"."));
        }

        CheckFluid(spec, limit, path, faults);
    }

    private static void CheckFluid(Spec spec, Limit limit, string path, List<SpecFault> faults)
    {
        if (spec.Fluid is not { } fluid || limit.Figure is not ("peakTemperature" or "sustainedPeak"))
        {
            return;
        }

        if (limit.Lower > fluid.BoilingPoint)
        {
            faults.Add(new($"{path}.lower",
                Text($"{limit.Figure} must reach {limit.Lower} degC{From(limit)}, but the vapour of fluid {fluid.Name} is {fluid.BoilingPoint} degC."),
                "Lower the limit, or choose a fluid that boils above it."));
        }

        if (limit.Upper < fluid.BoilingPoint)
        {
            faults.Add(new($"{path}.upper",
                Text($"{limit.Figure} may not pass {limit.Upper} degC{From(limit)}, but the vapour of fluid {fluid.Name} is {fluid.BoilingPoint} degC."),
                "Choose a fluid that boils below the ceiling, or protect the part and name its channel's own limit."));
        }
    }

    /// <summary>Two limits that hold for the same channel must leave room between them.</summary>
    private static void CheckPair(Limit limit, Limit other, string path, string otherPath, bool same, List<SpecFault> faults)
    {
        bool comparable = limit.Figure == other.Figure ? limit.Level == other.Level
            : limit.Figure == "sustainedPeak" && other.Figure == "peakTemperature"; // the sustained peak is never above the peak
        if (comparable && limit.Lower > other.Upper && (Overlap(limit, other) || IsPeak(limit)))
        {
            string problem = same
                ? Text($"{limit.Figure} has its lower limit {limit.Lower} above its upper limit {limit.Upper}.")
                : Text($"{limit.Figure} must be at least {limit.Lower}{From(limit)}, but {other.Figure} at most {other.Upper}{From(other)} ({otherPath}).");
            faults.Add(new(path, problem, same ? "Exchange the two." : "Both cannot be met: correct one of the two."));
        }
    }

    /// <summary>Saturated vapour brings every place to one temperature: a peak asked of one is a peak of all, unless channels are named.</summary>
    private static bool IsPeak(Limit limit) => limit.Figure is "peakTemperature" or "sustainedPeak" && limit.Channels.IsEmpty;

    private static bool Overlap(Limit a, Limit b) =>
        !a.Channels.IsEmpty && !b.Channels.IsEmpty ? a.Channels.Intersect(b.Channels).Any()
        : !a.Channels.IsEmpty || !b.Channels.IsEmpty || Places(a).Intersect(Places(b)).Any();

    private static ImmutableArray<Place> Places(Limit limit) => limit.Places.IsEmpty ? [Place.Joint, Place.Body, Place.Board] : limit.Places;

    private static string From(Limit limit) => limit.Document is { } document ? $" by \"{document}\"" : "";

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
