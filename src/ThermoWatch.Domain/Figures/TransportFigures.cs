using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>The soak as the transport's own sensor shows it.</summary>
internal static class TransportFigures
{
    private const double FlatSlope = 0.05;
    private const long WindowTicks = 10 * Timestamp.TicksPerSecond;

    /// <summary>Level and length of the longest plateau of ten seconds or more below the solidus, on the way up.</summary>
    public static void Add(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope)
    {
        if (scope.Parts.Transports.IsEmpty)
        {
            return; // a cell without such a sensor is not compared by it
        }

        (Outcome level, Outcome length) = Soak(scope);
        results.Add((FigureKind.TransportSoak, level));
        results.Add((FigureKind.TransportSoakTime, length));
    }

    private static (Outcome Level, Outcome Length) Soak(RunScope scope)
    {
        if (scope.Spec is null)
        {
            return (Outcome.Missing(FigureReasons.NotDefined), Outcome.Missing(FigureReasons.NotDefined));
        }

        ChannelTrack track = scope.Parts.Transports[0];
        Curve curve = track.Curve;
        CurveView view = scope.View(track);
        long first = curve.FirstAtOrAfter(scope.Run.StartTicks);
        long top = first + Peaks.IndexOfHighest(view);
        var slope = new SlidingSlope(WindowTicks);
        (long from, long to) = (0, 0);
        (long began, long flatUntil) = (0, long.MinValue);
        for (long i = first; i <= top; i++)
        {
            slope.Push(curve, i, track.GapTicks);
            double value = curve.ValueAt(i);
            if (!slope.IsFlatterThan(FlatSlope) || value >= scope.Spec.Alloy.Solidus || value < scope.Cell.Rules.CooledBelow)
            {
                continue;
            }

            // A plateau drifts, so single windows of it may be a little too steep: flat windows that overlap are one plateau.
            long windowStart = Math.Max(scope.Run.StartTicks, curve.TicksAt(i) - WindowTicks);
            began = windowStart < flatUntil ? began : windowStart;
            flatUntil = curve.TicksAt(i);
            (from, to) = flatUntil - began > to - from ? (began, flatUntil) : (from, to);
        }

        if (to == 0)
        {
            string reason = view.Count == 0 ? FigureReasons.Truncated : view.HasGap(0, view.Count - 1) ? FigureReasons.Gap : FigureReasons.NeverReached;
            return (Outcome.Missing(reason), Outcome.Missing(reason));
        }

        double[] sorted = curve.View(from, to, from, track.GapTicks).Values.ToArray();
        Array.Sort(sorted);
        return (Outcome.Known(sorted[sorted.Length / 2]), Outcome.Known((to - from) / (double)Timestamp.TicksPerSecond));
    }
}
