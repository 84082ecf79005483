using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>The stretch of the record to be evaluated, and everything that belongs to it.</summary>
/// <param name="Cell">The cell.</param>
/// <param name="Parts">The carrier's channels, and the shared ones.</param>
/// <param name="Spec">The spec; null without one.</param>
/// <param name="Run">The run.</param>
/// <param name="EndTicks">Its end, or the newest time while it goes on.</param>
/// <param name="Final">Whether it has ended.</param>
/// <param name="RestKnown">Whether the chamber's rest pressure is known: without it no evacuation can be found.</param>
internal sealed record RunScope(
    CellDefinition Cell,
    CarrierParts Parts,
    Spec? Spec,
    RunInProgress Run,
    long EndTicks,
    bool Final,
    bool RestKnown)
{
    /// <summary>All product channels of the carrier, air included.</summary>
    public ImmutableArray<ProductWatch> Products => Parts.Products;

    /// <summary>The chamber gauge; null without one.</summary>
    public ChannelTrack? Gauge => Parts.Gauge;

    /// <summary>The track of a product channel, by its index in the cell.</summary>
    public ChannelTrack Track(int channel)
    {
        foreach (ProductWatch watch in Products)
        {
            if (watch.Track.Index == channel)
            {
                return watch.Track;
            }
        }

        throw new ArgumentOutOfRangeException(nameof(channel), channel, "No product channel of this carrier.");
    }

    /// <summary>The stretch of a curve that belongs to the run, as far as it shows the joint.</summary>
    public CurveView View(ChannelTrack track) => track.Curve.View(Run.StartTicks, LastTicks(track), Run.StartTicks, track.GapTicks);

    /// <summary>What comes after it is not judged, UTC ticks.</summary>
    public long LastTicks(ChannelTrack track) => Math.Min(EndTicks, track.SureUntil);
}

/// <summary>Computes all figures of a run from its curves, and holds them against the spec.</summary>
internal static class RunEvaluator
{
    public static ImmutableArray<FigureResult> Figures(RunScope scope)
    {
        var results = ImmutableArray.CreateBuilder<FigureResult>();
        if (!scope.Run.IsMeasured)
        {
            AddWithoutProduct(results, scope);
            return results.ToImmutable();
        }

        var channels = new List<ChannelFigures>();
        foreach (ProductWatch watch in scope.Products)
        {
            ChannelFigures figures = ChannelFigures.Of(watch.Track.Index, scope.View(watch.Track), Levels(scope, watch));
            channels.Add(figures);
            AddChannel(results, scope, watch, figures);
        }

        var carrier = new List<(FigureKind Figure, Outcome Outcome)>();
        CarrierFigures.Add(carrier, scope, channels);
        VacuumFigures.Add(carrier, scope, channels);
        foreach ((FigureKind figure, Outcome outcome) in carrier)
        {
            AddCommon(results, scope, channels, figure, outcome);
        }

        AddUnmeasured(results, scope);
        return results.ToImmutable();
    }

    /// <summary>Without product sensors: what vapour and vacuum show, with no verdict, as no limit is meant for it.</summary>
    private static void AddWithoutProduct(ImmutableArray<FigureResult>.Builder results, RunScope scope)
    {
        var found = new List<(FigureKind Figure, Outcome Outcome)> { (FigureKind.CycleTime, CarrierFigures.CycleTime(scope)) };
        VapourFigures.Add(found, scope);
        TransportFigures.Add(found, scope);
        VacuumFigures.AddOfChamber(found, scope);
        foreach ((FigureKind figure, Outcome outcome) in found)
        {
            int first = results.Count;
            AddCommon(results, scope, [], figure, outcome);
            for (int i = first; i < results.Count; i++)
            {
                results[i] = results[i] with { Verdict = null, Reason = outcome.Reason };
            }
        }
    }

    /// <summary>What the figures of a channel depend on beside its curve.</summary>
    public static ChannelLevels Levels(RunScope scope, ProductWatch watch) => new(
        scope.Spec?.AlloyOf(watch.Track.Definition.Id).Liquidus,
        scope.Spec?.Soak?.From ?? ChannelLevels.DefaultSoakFrom,
        scope.Spec?.Soak?.To,
        scope.Spec?.Classification,
        scope.Spec?.SlopeWindow ?? 5);

    private static void AddChannel(ImmutableArray<FigureResult>.Builder results, RunScope scope, ProductWatch watch, ChannelFigures figures)
    {
        ChannelDefinition channel = watch.Track.Definition;
        for (FigureKind kind = 0; (int)kind < FigureCatalog.ChannelFigures; kind++)
        {
            FigureDefinition figure = FigureCatalog.Of(kind);
            bool limited = false;
            foreach (Limit limit in scope.Spec?.Limits ?? [])
            {
                if (limit.Figure == figure.Name && HoldsFor(limit, channel))
                {
                    limited = true;
                    Outcome atLevel = limit.Level is { } level ? AtLevel(kind, scope.View(watch.Track), level) : figures[kind];
                    Add(Cut(scope, watch, kind, atLevel), limit);
                }
            }

            if (!limited)
            {
                Add(Cut(scope, watch, kind, figures[kind]), null);
            }

            void Add(Outcome outcome, Limit? limit) => results.Add(ToResult(
                scope, figure, channel.Id, outcome, limit, FigureUncertainty.OfChannel(scope, watch, figures, kind, outcome, limit), null));
        }
    }

    private static void AddCommon(
        ImmutableArray<FigureResult>.Builder results, RunScope scope, List<ChannelFigures> channels, FigureKind kind, Outcome outcome)
    {
        double? uncertainty = FigureUncertainty.OfCommon(scope, channels, kind, outcome);
        FigureDefinition figure = FigureCatalog.Of(kind);
        string? decidedBy = outcome.DecidedBy < 0 ? null : scope.Cell.Channels[outcome.DecidedBy].Id;
        bool limited = false;
        foreach (Limit limit in scope.Spec?.Limits ?? [])
        {
            if (limit.Figure == figure.Name)
            {
                limited = true;
                results.Add(ToResult(scope, figure, null, outcome, limit, uncertainty, decidedBy));
            }
        }

        if (!limited)
        {
            results.Add(ToResult(scope, figure, null, outcome, null, uncertainty, decidedBy));
        }
    }

    /// <summary>A limit that no channel answers for is undetermined, not forgotten.</summary>
    private static void AddUnmeasured(ImmutableArray<FigureResult>.Builder results, RunScope scope)
    {
        foreach (Limit limit in scope.Spec?.Limits ?? [])
        {
            if (FigureCatalog.Find(limit.Figure) is not { Scope: FigureScope.Channel } figure)
            {
                continue;
            }

            Outcome none = Outcome.Missing(FigureReasons.NoChannel);
            foreach (string channel in limit.Channels)
            {
                if (!scope.Products.Any(w => w.Track.Definition.Id == channel))
                {
                    results.Add(ToResult(scope, figure, channel, none, limit, null, null));
                }
            }

            if (limit.Channels.IsEmpty && !scope.Products.Any(w => HoldsFor(limit, w.Track.Definition)))
            {
                results.Add(ToResult(scope, figure, null, none, limit, null, null));
            }
        }
    }

    /// <summary>Whether a limit holds for a channel: by name, by place, or for all but air.</summary>
    public static bool HoldsFor(Limit limit, ChannelDefinition channel) =>
        !limit.Channels.IsEmpty ? limit.Channels.Contains(channel.Id)
        : !limit.Places.IsEmpty ? limit.Places.Contains(channel.Place)
        : channel.Place != Place.Air;

    private static Outcome AtLevel(FigureKind kind, in CurveView view, double level) => kind switch
    {
        FigureKind.TimeAboveLiquidus => LevelSums.TimeAbove(view, level),
        FigureKind.LongestAboveLiquidus => LevelSums.LongestAbove(view, level),
        _ => LevelSums.HeatAbove(view, level),
    };

    /// <summary>Takes back what a channel that was lost before the run's end cannot know.</summary>
    private static Outcome Cut(RunScope scope, ProductWatch watch, FigureKind kind, Outcome outcome)
    {
        if (!IsLost(scope, watch.Track, out string reason) || !outcome.HasBounds)
        {
            return outcome.Reason == FigureReasons.NoChannel || outcome.Reason == FigureReasons.NeverReached || outcome.Reason == FigureReasons.Truncated
                ? IsLost(scope, watch.Track, out reason) ? Outcome.Missing(reason) : outcome
                : outcome;
        }

        return kind switch
        {
            // Events that have happened stay; what could still have grown is open upwards.
            FigureKind.SoakTime or FigureKind.PreheatRate or FigureKind.HeatingRate or FigureKind.SlopeAtLiquidus => outcome,
            FigureKind.PeakTemperature or FigureKind.SustainedPeak or FigureKind.TimeAboveLiquidus or FigureKind.LongestAboveLiquidus
                or FigureKind.HeatAboveLiquidus or FigureKind.SteepestHeating or FigureKind.SteepestCooling =>
                outcome with { High = double.PositiveInfinity, Reason = reason, Note = null },
            _ => Outcome.Missing(reason),
        };
    }

    /// <summary>Whether a channel's last judged reading lies more than the gap limit before the run's end, or it no longer shows its joint.</summary>
    public static bool IsLost(RunScope scope, ChannelTrack track, out string reason)
    {
        CurveView view = scope.View(track);
        bool silent = track.Refusal is QualityReason.None or QualityReason.NoReading or QualityReason.NoCommunication;
        reason = silent && track.SureUntil >= scope.EndTicks
            ? FigureReasons.Truncated
            : FigureReasons.BadQuality;
        if (track.SureUntil < scope.EndTicks)
        {
            return true; // whatever it still says in this run
        }

        if (!scope.Final || track.GapTicks == long.MaxValue)
        {
            return false;
        }

        if (view.Count == 0)
        {
            reason = track.Refusal is QualityReason.None or QualityReason.NoReading ? FigureReasons.NoChannel : reason;
            return true;
        }

        return scope.EndTicks - view.Ticks(view.Count - 1) > track.GapTicks;
    }

    private static FigureResult ToResult(
        RunScope scope, FigureDefinition figure, string? channelId, Outcome outcome, Limit? limit, double? uncertainty, string? decidedBy) =>
        LimitDecision.ToResult(
            figure, channelId, scope.Final ? outcome : outcome.SoFar(), limit, scope.Spec, uncertainty, scope.Final, decidedBy);
}
