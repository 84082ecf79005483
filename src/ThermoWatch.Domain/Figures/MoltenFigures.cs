using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Figures;

/// <summary>What the solder was doing while the chamber was evacuated.</summary>
internal static class MoltenFigures
{
    /// <summary>From the last joint's melting to the evacuation, s; negative if something was not yet molten.</summary>
    public static Outcome SinceMolten(StepFigures step, ChannelFigures[] boards) => Since(step, boards, static b => b.LiquidusRising);

    /// <summary>From the last joint's arrival at its plateau to the evacuation, s.</summary>
    public static Outcome SincePeak(StepFigures step, ChannelFigures[] boards) => Since(step, boards, static b => b.PeakEntry);

    /// <summary>Least distance above the liquidus at a time, K.</summary>
    public static Outcome Margin(RunScope scope, double seconds, ChannelFigures[] boards)
    {
        double least = double.PositiveInfinity;
        int decidedBy = -1;
        string? note = null;
        foreach (ChannelFigures board in boards)
        {
            if (LiquidusOf(scope, board) is not { } liquidus)
            {
                return Outcome.Missing(FigureReasons.NotDefined);
            }

            double value = scope.View(scope.Track(board.Channel)).ValueAt(seconds);
            if (double.IsNaN(value))
            {
                if (!RunEvaluator.IsLost(scope, scope.Track(board.Channel), out _))
                {
                    return Outcome.Missing(FigureReasons.Gap) with { DecidedBy = board.Channel };
                }

                note = CarrierFigures.ChannelLost;
            }
            else if (value - liquidus < least)
            {
                (least, decidedBy) = (value - liquidus, board.Channel);
            }
        }

        return decidedBy < 0 ? Outcome.Missing(FigureReasons.NoChannel) : Outcome.Known(least, note) with { DecidedBy = decidedBy };
    }

    /// <summary>Time at or below the target while every joint is molten, s: what removes voids.</summary>
    public static Outcome MoltenVacuum(RunScope scope, StepFigures step, ChannelFigures[] boards)
    {
        if (step.Target is not { } target || boards.Any(b => LiquidusOf(scope, b) is null))
        {
            return Outcome.Missing(FigureReasons.NotDefined);
        }

        return boards.Length == 0
            ? Outcome.Missing(FigureReasons.NoChannel)
            : StepFigures.Total(Holding, IsWhole(), stillBelow: !step.Ended && step.Least <= target);

        bool IsWhole()
        {
            bool whole = step.View().IsWhole;
            foreach (ChannelFigures board in boards)
            {
                whole &= scope.View(scope.Track(board.Channel)).IsWhole;
            }

            return whole;
        }

        List<(double From, double To)> Holding(bool hopeful)
        {
            List<(double From, double To)> both = Intervals.Of(step.View(), target, above: false, step.Start, step.End, hopeful);
            foreach (ChannelFigures board in boards)
            {
                CurveView view = scope.View(scope.Track(board.Channel));
                both = Intervals.Both(both, Intervals.Of(view, LiquidusOf(scope, board)!.Value, above: true, step.Start, step.End, hopeful));
            }

            return both;
        }
    }

    private static Outcome Since(StepFigures step, ChannelFigures[] boards, Func<ChannelFigures, Crossing> crossing)
    {
        double latest = double.NegativeInfinity;
        int decidedBy = -1;
        bool marginal = false;
        foreach (ChannelFigures board in boards)
        {
            Crossing own = crossing(board);
            if (!own.Found)
            {
                return Outcome.Missing(own.Reason) with { DecidedBy = board.Channel };
            }

            decidedBy = own.Seconds > latest ? board.Channel : decidedBy;
            latest = Math.Max(latest, own.Seconds);
            marginal |= own.Marginal;
        }

        return decidedBy < 0
            ? Outcome.Missing(FigureReasons.NoChannel)
            : Outcome.Known(step.Start - latest, marginal ? Outcome.Marginal : null) with { DecidedBy = decidedBy };
    }

    private static double? LiquidusOf(RunScope scope, ChannelFigures board) =>
        scope.Spec?.AlloyOf(scope.Track(board.Channel).Definition.Id).Liquidus;
}
