using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Figures;

/// <summary>How far the channels of a carrier lie apart from moment to moment.</summary>
/// <remarks>Compared at the readings of any of them; a channel in a gap is left out there, and the figure is bounded.</remarks>
internal static class SpreadFigures
{
    private const double MeanSeconds = 5;

    /// <summary>Greatest spread from the first crossing of the soak's start to the last of the liquidus, both by any channel.</summary>
    public static Outcome Greatest(RunScope scope, ChannelFigures[] boards)
    {
        if (Window(boards, static b => b.SoakStart, first: true) is not { Found: true } from)
        {
            return Missing(boards, static b => b.SoakStart, ofAny: true);
        }

        if (boards.Length < 2 || boards.Any(b => !b.LiquidusRising.Found))
        {
            return boards.Length < 2 ? Outcome.Missing(FigureReasons.NoChannel) : Missing(boards, static b => b.LiquidusRising, ofAny: false);
        }

        double until = boards.Max(b => b.LiquidusRising.Seconds);
        double greatest = double.NegativeInfinity;
        int decidedBy = -1;

        // Another channel may have passed the soak's start in a gap, and so earlier: then more was to be compared.
        bool holes = boards.Any(b => b.SoakStart.Kind == CrossingKind.Gap);
        var walk = new SpreadWalk(scope, boards, from.Seconds, until);
        while (walk.MoveNext())
        {
            holes |= !walk.Whole || walk.LeftGap;
            if (walk.Spread > greatest)
            {
                (greatest, decidedBy) = (walk.Spread, walk.Coldest);
            }
        }

        return Finish(greatest, holes, low: greatest, high: double.PositiveInfinity, decidedBy);
    }

    /// <summary>Least mean over 5 s, from the moment all channels have passed the soak's start until the first is molten.</summary>
    public static Outcome SoakEnd(RunScope scope, ChannelFigures[] boards)
    {
        if (boards.Length < 2)
        {
            return Outcome.Missing(FigureReasons.NoChannel);
        }

        if (boards.Any(b => !b.SoakStart.Found) || Window(boards, static b => b.LiquidusRising, first: true) is not { Found: true } until)
        {
            return boards.Any(b => !b.SoakStart.Found)
                ? Missing(boards, static b => b.SoakStart, ofAny: false)
                : Missing(boards, static b => b.LiquidusRising, ofAny: true);
        }

        // Another channel may have melted in a gap, and so earlier: then less was to be compared.
        if (boards.Any(b => b.LiquidusRising.Kind == CrossingKind.Gap))
        {
            return Outcome.Missing(FigureReasons.Gap);
        }

        double from = boards.Max(b => b.SoakStart.Seconds);
        var walk = new SpreadWalk(scope, boards, from, until.Seconds);
        List<(double Seconds, double Spread, double Area)> points = [];
        double wholeSince = from;
        double least = double.PositiveInfinity;
        int decidedBy = -1;
        bool holes = false;
        bool inHole = false;
        int start = 0;
        while (walk.MoveNext())
        {
            double area = points.Count == 0 ? 0 : points[^1].Area + ((walk.Spread + points[^1].Spread) / 2 * (walk.Seconds - points[^1].Seconds));
            if (!walk.Whole || walk.LeftGap || inHole)
            {
                // A mean over a stretch where a channel is unknown is none: sums begin anew where all are known again.
                (holes, inHole, wholeSince, area) = (true, !walk.Whole, walk.Seconds, 0);
            }

            points.Add((walk.Seconds, walk.Spread, area));
            double begin = walk.Seconds - MeanSeconds;
            if (inHole || begin < wholeSince || !walk.IsReading)
            {
                continue;
            }

            while (points[start + 1].Seconds <= begin)
            {
                start++;
            }

            (double t, double spread, double areaBefore) = points[start];
            double share = (begin - t) / (points[start + 1].Seconds - t);
            double at = spread + ((points[start + 1].Spread - spread) * share);
            double mean = (area - areaBefore - ((spread + at) / 2 * (begin - t))) / MeanSeconds;
            if (mean < least)
            {
                (least, decidedBy) = (mean, walk.Coldest);
            }
        }

        return Finish(least, holes, low: 0, high: least, decidedBy);
    }

    private static Outcome Finish(double found, bool holes, double low, double high, int decidedBy) =>
        !double.IsFinite(found) ? Outcome.Missing(holes ? FigureReasons.Gap : FigureReasons.NeverReached)
        : holes ? Outcome.Between(low, high, FigureReasons.Gap) with { DecidedBy = decidedBy }
        : Outcome.Known(found) with { DecidedBy = decidedBy };

    private static Crossing? Window(ChannelFigures[] boards, Func<ChannelFigures, Crossing> crossing, bool first)
    {
        Crossing? found = null;
        foreach (ChannelFigures board in boards)
        {
            Crossing own = crossing(board);
            if (own.Found && (found is null || own.Seconds < found.Value.Seconds == first))
            {
                found = own;
            }
        }

        return found;
    }

    /// <summary>Why an event is missing.</summary>
    /// <param name="boards">The channels.</param>
    /// <param name="crossing">The event in one channel.</param>
    /// <param name="ofAny">Whether any channel's would do: then one unknown keeps it open. Else one that never came decides.</param>
    private static Outcome Missing(ChannelFigures[] boards, Func<ChannelFigures, Crossing> crossing, bool ofAny)
    {
        Outcome missing = Outcome.Missing(FigureReasons.NoChannel);
        foreach (ChannelFigures board in boards)
        {
            Crossing own = crossing(board);
            bool never = own.Kind == CrossingKind.Never;
            if (!own.Found && (missing.Reason == FigureReasons.NoChannel || never != ofAny))
            {
                missing = Outcome.Missing(own.Reason) with { DecidedBy = board.Channel };
            }
        }

        return missing;
    }
}
