using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Figures;

/// <summary>Expanded uncertainty of figures, where a formula is known.</summary>
internal static class FigureUncertainty
{
    /// <summary>U of a figure of one channel, in its unit; null if not known.</summary>
    public static double? OfChannel(RunScope scope, ProductWatch watch, ChannelFigures figures, FigureKind kind, in Outcome outcome, Limit? limit)
    {
        if (scope.Spec?.Measurement is not { } chain || !outcome.HasValue || outcome.Reason is not null)
        {
            return null;
        }

        CurveView c = scope.View(watch.Track);
        ChannelLevels levels = RunEvaluator.Levels(scope, watch);
        double? u = kind switch
        {
            FigureKind.PeakTemperature or FigureKind.SustainedPeak => ChainUncertainty.Of(chain, outcome.Low),
            FigureKind.TimeAboveLiquidus or FigureKind.LongestAboveLiquidus => OfTime(chain, c, watch, limit?.Level ?? levels.Liquidus!.Value),
            FigureKind.TimeNearPeak when levels.Classification is { } reference => OfTime(chain, c, watch, reference - 5),
            FigureKind.SoakTime => OfDuration(chain, c, watch, figures.SoakStart, levels.SoakFrom, Crossings.SettledRising(c, levels.SoakTo!.Value), levels.SoakTo.Value),
            FigureKind.TimeToPeak => OfTimeToPeak(chain, c, watch),
            _ => RateUncertainty.Between(kind, c, figures, levels) is { } rate
                ? outcome.Low / rate.Seconds * OfDuration(chain, c, watch, rate.From, rate.FromLevel, rate.To, rate.ToLevel)
                : null,
        };
        return ChainUncertainty.Coverage * u;
    }

    /// <summary>U of a figure of the carrier or the chamber, in its unit; null if not known.</summary>
    public static double? OfCommon(RunScope scope, IReadOnlyList<ChannelFigures> channels, FigureKind kind, in Outcome outcome)
    {
        if (scope.Spec?.Measurement is not { } chain || !outcome.HasValue)
        {
            return null;
        }

        if (outcome.DecidedBy < 0)
        {
            return ChainUncertainty.Coverage * PressureFigureUncertainty.Of(scope, chain, kind, outcome);
        }

        double? u = kind switch
        {
            FigureKind.PeakSpread or FigureKind.SoakEndSpread or FigureKind.GreatestSpread => OfDifference(scope, chain, channels),
            FigureKind.MoltenAtEvacuation or FigureKind.MoltenAtVentEnd =>
                ChainUncertainty.Of(chain, scope.Spec.AlloyOf(scope.Track(outcome.DecidedBy).Definition.Id).Liquidus + outcome.Low),
            FigureKind.LiquidusSpread => OfLiquidusSpread(scope, chain, channels),
            FigureKind.MoltenToEvacuation => OfMelting(scope, chain, ByChannel(channels, outcome.DecidedBy)),
            _ => null,
        };
        return ChainUncertainty.Coverage * u;
    }

    private static ChannelFigures ByChannel(IReadOnlyList<ChannelFigures> channels, int channel) => channels.First(c => c.Channel == channel);

    private static double OfTime(MeasurementChain chain, in CurveView c, ProductWatch watch, double level)
    {
        (double secondsPerKelvin, int ends) = CrossingSlopes.OfTimeAbove(c, level);
        return ChainUncertainty.Root(
            ChainUncertainty.Of(chain, level) * secondsPerKelvin, CrossingSlopes.OfSampling(watch.Track.NominalTicks, ends));
    }

    private static double OfDuration(
        MeasurementChain chain, in CurveView c, ProductWatch watch, Crossing from, double fromLevel, Crossing to, double toLevel) =>
        ChainUncertainty.Root(
            (ChainUncertainty.Of(chain, fromLevel) / CrossingSlopes.At(c, from.Seconds)) - (ChainUncertainty.Of(chain, toLevel) / CrossingSlopes.At(c, to.Seconds)),
            CrossingSlopes.OfSampling(watch.Track.NominalTicks, 2));

    /// <summary>The plateau's edge is found against the channel's own peak, so only the beginning is moved by the chain's error.</summary>
    private static double OfTimeToPeak(MeasurementChain chain, in CurveView c, ProductWatch watch)
    {
        const double From = 25;
        double sampling = CrossingSlopes.OfSampling(watch.Track.NominalTicks, 2);
        return c[0] >= From
            ? sampling
            : ChainUncertainty.Root(ChainUncertainty.Of(chain, From) / CrossingSlopes.At(c, Crossings.SettledRising(c, From).Seconds), sampling);
    }

    /// <summary>Two channels of one instrument share most of their error; of two instruments nothing.</summary>
    private static double OfDifference(RunScope scope, MeasurementChain chain, IReadOnlyList<ChannelFigures> channels)
    {
        bool shared = channels.Select(c => scope.Track(c.Channel).Definition.Device).Distinct().Count() == 1;
        double highest = channels.Max(c => c[FigureKind.PeakTemperature].Low);
        return Math.Sqrt(2) * (shared ? ChainUncertainty.Own(chain) : ChainUncertainty.Of(chain, highest));
    }

    private static double OfMelting(RunScope scope, MeasurementChain chain, ChannelFigures last)
    {
        ChannelTrack track = scope.Track(last.Channel);
        double liquidus = scope.Spec!.AlloyOf(track.Definition.Id).Liquidus;
        return ChainUncertainty.Root(
            ChainUncertainty.Of(chain, liquidus) / CrossingSlopes.At(scope.View(track), last.LiquidusRising.Seconds),
            CrossingSlopes.OfSampling(track.NominalTicks, 2));
    }

    private static double? OfLiquidusSpread(RunScope scope, MeasurementChain chain, IReadOnlyList<ChannelFigures> channels)
    {
        ChannelFigures[] molten = [.. channels.Where(c => c.LiquidusRising.Found).OrderBy(c => c.LiquidusRising.Seconds)];
        if (molten.Length < 2)
        {
            return null;
        }

        (ChannelTrack first, ChannelTrack last) = (scope.Track(molten[0].Channel), scope.Track(molten[^1].Channel));
        double perFirst = 1 / CrossingSlopes.At(scope.View(first), molten[0].LiquidusRising.Seconds);
        double perLast = 1 / CrossingSlopes.At(scope.View(last), molten[^1].LiquidusRising.Seconds);
        double liquidus = scope.Spec!.AlloyOf(last.Definition.Id).Liquidus;
        (double common, double own) = (ChainUncertainty.Common(chain, liquidus), ChainUncertainty.Own(chain));
        double shared = first.Definition.Device == last.Definition.Device
            ? common * (perFirst - perLast)
            : common * ChainUncertainty.Root(perFirst, perLast);
        return ChainUncertainty.Root(shared, own * perFirst, own * perLast, CrossingSlopes.OfSampling(last.NominalTicks, 2));
    }
}
