using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>Figures of all product channels of a carrier together; air stays out.</summary>
internal static class CarrierFigures
{
    public static void Add(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope, IReadOnlyList<ChannelFigures> channels)
    {
        // A lost channel drops out of the peaks' comparison; its events that have happened still count.
        ChannelFigures[] boards = [.. channels.Where((_, i) => scope.Products[i].Track.Definition.Place != Place.Air)];
        results.Add((FigureKind.PeakSpread, PeakSpread(scope, boards)));
        results.Add((FigureKind.LiquidusSpread, LiquidusSpread(scope, boards)));
        results.Add((FigureKind.SoakEndSpread, SpreadFigures.SoakEnd(scope, boards)));
        results.Add((FigureKind.GreatestSpread, SpreadFigures.Greatest(scope, boards)));
        results.Add((FigureKind.CycleTime, CycleTime(scope)));
    }

    /// <summary>From start to end; not known where nobody saw the start.</summary>
    public static Outcome CycleTime(RunScope scope) => scope.Run.Notes.Contains(RunInProgress.StartNotSeen)
        ? Outcome.Missing(FigureReasons.Truncated)
        : Outcome.Known((scope.EndTicks - scope.Run.StartTicks) / (double)Timestamp.TicksPerSecond);

    /// <summary>Note of a figure from which lost channels have dropped out; their ids follow after a colon.</summary>
    public const string ChannelLost = "channelLost";

    private static Outcome PeakSpread(RunScope scope, ChannelFigures[] boards)
    {
        (double highestLow, double highestHigh, double lowestLow, double lowestHigh) =
            (double.NegativeInfinity, double.NegativeInfinity, double.PositiveInfinity, double.PositiveInfinity);
        int counted = 0;
        int coldest = -1;
        string? note = null;
        foreach (ChannelFigures board in boards)
        {
            Outcome peak = board[FigureKind.PeakTemperature];
            if (!peak.HasBounds || RunEvaluator.IsLost(scope, scope.Track(board.Channel), out _))
            {
                note = $"{note ?? ChannelLost}{(note is null ? ':' : ',')}{scope.Cell.Channels[board.Channel].Id}";
                continue;
            }

            counted++;
            coldest = peak.Low < lowestLow ? board.Channel : coldest;
            (highestLow, highestHigh) = (Math.Max(highestLow, peak.Low), Math.Max(highestHigh, peak.High));
            (lowestLow, lowestHigh) = (Math.Min(lowestLow, peak.Low), Math.Min(lowestHigh, peak.High));
        }

        return counted < 2
            ? Outcome.Missing(FigureReasons.NoChannel)
            : Outcome.Between(Math.Max(0, highestLow - lowestHigh), highestHigh - lowestLow, FigureReasons.Gap, note) with { DecidedBy = coldest };
    }

    private static Outcome LiquidusSpread(RunScope scope, ChannelFigures[] boards)
    {
        if (boards.Length < 2)
        {
            return Outcome.Missing(FigureReasons.NoChannel);
        }

        Outcome? missing = null;
        int counted = 0;
        string? note = null;
        (double first, double last, int latest, bool marginal) = (double.PositiveInfinity, double.NegativeInfinity, -1, false);
        foreach (ChannelFigures board in boards)
        {
            Crossing crossing = board.LiquidusRising;
            if (!crossing.Found && RunEvaluator.IsLost(scope, scope.Track(board.Channel), out _))
            {
                note = $"{note ?? ChannelLost}{(note is null ? ':' : ',')}{scope.Cell.Channels[board.Channel].Id}"; // what it did later nobody knows
                continue;
            }

            counted++;
            if (!crossing.Found)
            {
                // One that never melts decides, whatever the others' gaps hide.
                missing = missing is null || crossing.Kind == CrossingKind.Never
                    ? Outcome.Missing(crossing.Reason) with { DecidedBy = board.Channel }
                    : missing;
                continue;
            }

            latest = crossing.Seconds > last ? board.Channel : latest;
            (first, last) = (Math.Min(first, crossing.Seconds), Math.Max(last, crossing.Seconds));
            marginal |= crossing.Marginal;
        }

        return missing ?? (counted < 2
            ? Outcome.Missing(FigureReasons.NoChannel)
            : Outcome.Known(last - first, note ?? (marginal ? Outcome.Marginal : null)) with { DecidedBy = latest });
    }
}
