using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using static ThermoWatch.Domain.Figures.Quadrature;

namespace ThermoWatch.Domain.Figures;

/// <summary>Expanded uncertainty of figures, where a formula is known.</summary>
internal static class FigureUncertainty
{
    /// <summary>U = k u; k = 2 covers about 95 % (GUM).</summary>
    private const double Coverage = 2;

    /// <summary>U of a figure of one channel, in its unit; null if not known.</summary>
    public static double? OfChannel(RunScope scope, ProductWatch watch, ChannelFigures figures, FigureKind kind, in Outcome outcome, Limit? limit)
    {
        if (!outcome.HasValue || outcome.Reason is not null || !KnownChannel.Of(scope, watch.Track, out KnownChannel channel))
        {
            return null;
        }

        CurveView c = scope.View(watch.Track);
        ChannelLevels levels = RunEvaluator.Levels(scope, watch);
        double? u = kind switch
        {
            FigureKind.PeakTemperature or FigureKind.SustainedPeak => channel.Whole(outcome.Low),
            FigureKind.TimeAboveLiquidus or FigureKind.LongestAboveLiquidus => OfTime(channel, c, limit?.Level ?? levels.Liquidus!.Value),
            FigureKind.TimeNearPeak when levels.Classification is { } reference => OfTime(channel, c, reference - 5),
            FigureKind.SoakTime => OfDuration(channel, c, figures.SoakStart, levels.SoakFrom, Crossings.SettledRising(c, levels.SoakTo!.Value), levels.SoakTo.Value),
            FigureKind.TimeToPeak => OfTimeToPeak(channel, c),
            _ => RateUncertainty.Between(kind, c, figures, levels) is { } rate
                ? outcome.Low / rate.Seconds * OfDuration(channel, c, rate.From, rate.FromLevel, rate.To, rate.ToLevel)
                : null,
        };
        return Expanded(u);
    }

    /// <summary>U of a figure of the carrier or the chamber, in its unit; null if not known.</summary>
    public static double? OfCommon(RunScope scope, IReadOnlyList<ChannelFigures> channels, FigureKind kind, in Outcome outcome)
    {
        if (!outcome.HasValue)
        {
            return null;
        }

        if (outcome.DecidedBy < 0)
        {
            return scope.Spec?.Measurement is { } chain ? Expanded(PressureFigureUncertainty.Of(scope, chain, kind, outcome)) : null;
        }

        double? u = kind switch
        {
            FigureKind.PeakSpread or FigureKind.SoakEndSpread or FigureKind.GreatestSpread => OfDifference(scope, channels),
            FigureKind.MoltenAtEvacuation or FigureKind.MoltenAtVentEnd => OfDecider(scope, outcome),
            FigureKind.LiquidusSpread => OfLiquidusSpread(scope, channels),
            FigureKind.MoltenToEvacuation => OfMelting(scope, ByChannel(channels, outcome.DecidedBy)),
            _ => null,
        };
        return Expanded(u);
    }

    private static ChannelFigures ByChannel(IReadOnlyList<ChannelFigures> channels, int channel) => channels.First(c => c.Channel == channel);

    private static double? Expanded(double? u) => u is { } known && double.IsFinite(known) ? Coverage * known : null;

    private static double OfTime(in KnownChannel channel, in CurveView c, double level)
    {
        (double secondsPerKelvin, int ends) = CrossingSlopes.OfTimeAbove(c, level);
        return Root(channel.Whole(level) * secondsPerKelvin, CrossingSlopes.OfSampling(channel.Track.NominalTicks, ends));
    }

    private static double OfDuration(in KnownChannel channel, in CurveView c, Crossing from, double fromLevel, Crossing to, double toLevel) => Root(
        (channel.Whole(fromLevel) / CrossingSlopes.At(c, from.Seconds)) - (channel.Whole(toLevel) / CrossingSlopes.At(c, to.Seconds)),
        CrossingSlopes.OfSampling(channel.Track.NominalTicks, 2));

    /// <summary>The plateau's edge is found against the channel's own peak, so only the beginning is moved by the chain's error.</summary>
    private static double OfTimeToPeak(in KnownChannel channel, in CurveView c)
    {
        const double From = 25;
        double sampling = CrossingSlopes.OfSampling(channel.Track.NominalTicks, 2);
        return c[0] >= From ? sampling : Root(channel.Whole(From) / CrossingSlopes.At(c, Crossings.SettledRising(c, From).Seconds), sampling);
    }

    /// <summary>Two channels of one instrument share most of their error; of two instruments nothing. The least sure pair counts.</summary>
    private static double? OfDifference(RunScope scope, IReadOnlyList<ChannelFigures> channels)
    {
        bool shared = channels.Select(c => scope.Track(c.Channel).Definition.Device).Distinct().Count() == 1;
        double highest = channels.Max(c => c[FigureKind.PeakTemperature].Low);
        double most = 0;
        foreach (ChannelFigures figures in channels)
        {
            if (!KnownChannel.Of(scope, scope.Track(figures.Channel), out KnownChannel channel))
            {
                return null;
            }

            most = Math.Max(most, shared ? channel.Own(highest) : channel.Whole(highest));
        }

        return Math.Sqrt(2) * most;
    }

    private static double? OfDecider(RunScope scope, in Outcome outcome)
    {
        ChannelTrack track = scope.Track(outcome.DecidedBy);
        return KnownChannel.Of(scope, track, out KnownChannel channel) ? channel.Whole(Liquidus(scope, track) + outcome.Low) : null;
    }

    private static double? OfMelting(RunScope scope, ChannelFigures last)
    {
        ChannelTrack track = scope.Track(last.Channel);
        return KnownChannel.Of(scope, track, out KnownChannel channel)
            ? Root(
                channel.Whole(Liquidus(scope, track)) / CrossingSlopes.At(scope.View(track), last.LiquidusRising.Seconds),
                CrossingSlopes.OfSampling(track.NominalTicks, 2))
            : null;
    }

    private static double? OfLiquidusSpread(RunScope scope, IReadOnlyList<ChannelFigures> channels)
    {
        ChannelFigures[] molten = [.. channels.Where(c => c.LiquidusRising.Found).OrderBy(c => c.LiquidusRising.Seconds)];
        if (molten.Length < 2
            || !KnownChannel.Of(scope, scope.Track(molten[0].Channel), out KnownChannel first)
            || !KnownChannel.Of(scope, scope.Track(molten[^1].Channel), out KnownChannel last))
        {
            return null;
        }

        double perFirst = 1 / CrossingSlopes.At(scope.View(first.Track), molten[0].LiquidusRising.Seconds);
        double perLast = 1 / CrossingSlopes.At(scope.View(last.Track), molten[^1].LiquidusRising.Seconds);
        double liquidus = Liquidus(scope, last.Track);
        double ofFirst = first.Common(liquidus) * perFirst;
        double ofLast = last.Common(liquidus) * perLast;
        double shared = first.Track.Definition.Device == last.Track.Definition.Device ? ofFirst - ofLast : Root(ofFirst, ofLast);
        return Root(shared, first.Own(liquidus) * perFirst, last.Own(liquidus) * perLast, CrossingSlopes.OfSampling(last.Track.NominalTicks, 2));
    }

    private static double Liquidus(RunScope scope, ChannelTrack track) => scope.Spec!.AlloyOf(track.Definition.Id).Liquidus;

    /// <summary>A channel whose errors somebody has told: itself, or the spec's measurement.</summary>
    private readonly record struct KnownChannel(ChannelTrack Track, MeasurementChain? Chain, Timestamp RunStart)
    {
        public static bool Of(RunScope scope, ChannelTrack track, out KnownChannel channel)
        {
            channel = new KnownChannel(track, scope.Spec?.Measurement, new Timestamp(scope.Run.StartTicks));
            return channel.Chain is not null || track.Definition.TemperatureUncertainty is not null;
        }

        /// <summary>Standard uncertainty, K; NaN where it is not known.</summary>
        public double Whole(double celsius) => At(celsius)?.Combined ?? double.NaN;

        /// <summary>The part that channels of one spool and one instrument share, K.</summary>
        public double Common(double celsius) => At(celsius)?.Common ?? double.NaN;

        /// <summary>The part that the channel has for itself, K.</summary>
        public double Own(double celsius) => At(celsius)?.Own ?? double.NaN;

        private UncertaintyBudget? At(double celsius) => ChannelBudget.At(Track.Definition, celsius, RunStart, Chain);
    }
}
