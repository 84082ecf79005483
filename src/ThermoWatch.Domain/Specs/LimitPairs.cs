using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Specs;

/// <summary>Two limits that hold for the same thing must leave room between them.</summary>
internal static class LimitPairs
{
    /// <summary>Pairs of figures of which the first is never greater than the second, whatever the run.</summary>
    private static readonly (string Smaller, string Greater)[] s_order =
    [
        ("sustainedPeak", "peakTemperature"),
        ("longestAboveLiquidus", "timeAboveLiquidus"),
        ("timeAboveLiquidus", "cycleTime"),
        ("longestAboveLiquidus", "cycleTime"),
        ("timeNearPeak", "cycleTime"),
        ("soakTime", "cycleTime"),
        ("timeToPeak", "cycleTime"),
        ("liquidusSpread", "cycleTime"),
        ("pumpDownTime", "cycleTime"),
        ("vacuumHold", "cycleTime"),
        ("ventTime", "cycleTime"),
        ("moltenVacuum", "vacuumHold"),
        ("moltenVacuum", "timeAboveLiquidus"),
        ("moltenVacuum", "cycleTime"),
    ];

    public static void Check(Spec spec, IReadOnlyList<string> paths, List<SpecFault> faults)
    {
        for (int i = 0; i < spec.Limits.Length; i++)
        {
            for (int other = 0; other < spec.Limits.Length; other++)
            {
                (Limit limit, Limit against) = (spec.Limits[i], spec.Limits[other]);
                if (limit.Lower > against.Upper && Holds(spec, limit, against))
                {
                    faults.Add(i == other
                        ? new(paths[i], SpecRules.Text($"{limit.Figure} has its lower limit {limit.Lower} above its upper limit {limit.Upper}."), "Exchange the two.")
                        : new(paths[i], Problem(limit, paths[i], against, paths[other]), "Both cannot be met: correct one of the two."));
                }
            }
        }
    }

    /// <summary>Whether the first limit's figure can never be greater than that of the second, for some channel.</summary>
    private static bool Holds(Spec spec, Limit limit, Limit against)
    {
        if (limit.Figure != against.Figure && !s_order.Contains((limit.Figure, against.Figure)))
        {
            return false;
        }

        bool sameKind = FigureCatalog.Find(limit.Figure)!.Scope == FigureScope.Channel && FigureCatalog.Find(against.Figure)!.Scope == FigureScope.Channel;
        return (!sameKind || Overlap(limit, against) || IsPeak(limit)) && LevelsAgree(spec, limit, against);
    }

    /// <summary>A curve is never longer above a higher level than above a lower one.</summary>
    private static bool LevelsAgree(Spec spec, Limit limit, Limit against)
    {
        bool first = Takes(limit), second = Takes(against);
        if (limit.Figure == "moltenVacuum")
        {
            // Molten is meant by each channel's alloy: above its liquidus or any lower level the time is as long at least.
            return !second || against.Level is null || against.Level <= Liquidi(spec).Min();
        }

        return !first || !second || limit.Level == against.Level || (limit.Level ?? Liquidi(spec).Min()) >= (against.Level ?? Liquidi(spec).Max());
    }

    private static IEnumerable<double> Liquidi(Spec spec) => spec.ChannelAlloys.Values.Append(spec.Alloy).Select(a => a.Liquidus);

    private static bool Takes(Limit limit) => FigureCatalog.Find(limit.Figure) is { TakesLevel: true };

    private static string Problem(Limit limit, string path, Limit against, string againstPath)
    {
        static string Level(Limit l) => l.Level is { } level ? SpecRules.Text($" above {level} degC") : "";
        return SpecRules.Text($"{limit.Figure}{Level(limit)} must be at least {limit.Lower} by {SpecRules.NameOf(limit, path)}, ")
            + SpecRules.Text($"but {against.Figure}{Level(against)} may be at most {against.Upper} by {SpecRules.NameOf(against, againstPath)}.");
    }

    /// <summary>Saturated vapour brings every place to one temperature: a peak asked of one is a peak of all, unless channels are named.</summary>
    private static bool IsPeak(Limit limit) => limit.Figure is "peakTemperature" or "sustainedPeak" && limit.Channels.IsEmpty && Places(limit).Any(p => p != Place.Air);

    private static bool Overlap(Limit a, Limit b) =>
        !a.Channels.IsEmpty && !b.Channels.IsEmpty ? a.Channels.Intersect(b.Channels).Any()
        : !a.Channels.IsEmpty || !b.Channels.IsEmpty ? IsGeneral(a) && IsGeneral(b)
        : Places(a).Intersect(Places(b)).Any();

    // A named channel has a place that the spec does not know: only a limit for every place surely holds there too.
    private static bool IsGeneral(Limit limit) => !limit.Channels.IsEmpty || limit.Places.IsEmpty;

    private static ImmutableArray<Place> Places(Limit limit) => limit.Places.IsEmpty ? [Place.Joint, Place.Body, Place.Board] : limit.Places;
}
