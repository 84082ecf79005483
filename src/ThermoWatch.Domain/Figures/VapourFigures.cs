using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Figures;

/// <summary>What the vapour's own sensor shows of a load: with it runs without product sensors are compared.</summary>
internal sealed class VapourFigures
{
    private const double MedianSeconds = 5;
    private const double BackWithin = 1;
    private const double LiftKelvin = 3;

    private readonly RunScope _scope;
    private readonly double? _voidStart;
    private double _leave;
    private bool _lifted;
    private double _recovered = double.NaN;

    private VapourFigures(RunScope scope)
    {
        _scope = scope;
        _voidStart = VacuumFigures.VoidSteps(scope).FirstOrDefault()?.Start;
        if (scope.Parts.Vapour is not { } track || View(track) is not { Count: > 0 } view)
        {
            string none = scope.Parts.Vapour is null ? FigureReasons.NoChannel : FigureReasons.Truncated;
            Plateau = Residual = Dip = Recovery = TimeInVapour = Outcome.Missing(none);
            return;
        }

        IsSteady = Rests(view, track.NoiseSigma);
        FindPlateau(view);
        FindDip(view, track.NoiseSigma);
        FindRecovery(view);
    }

    public Outcome Plateau { get; private set; }

    public Outcome Residual { get; private set; }

    public Outcome Dip { get; private set; }

    public Outcome Recovery { get; private set; }

    public Outcome TimeInVapour { get; private set; }

    /// <summary>When the vapour was back after the dip, and when the load left it, s from the run's start; null if not seen.</summary>
    public (double From, double? To)? Stay => double.IsNaN(_recovered) ? null : (_recovered, _lifted ? _leave : null);

    /// <summary>Whether the vapour has rested for as long as makes a level: while a run goes on, only then has it recovered.</summary>
    public bool IsSteady { get; private set; }

    private double DipStart { get; set; } = double.NaN;

    public static VapourFigures Of(RunScope scope) => new(scope);

    public static void Add(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope)
    {
        if (scope.Parts.Vapour is null)
        {
            return; // a cell without such a sensor is not compared by it
        }

        VapourFigures vapour = Of(scope);
        results.Add((FigureKind.VapourPlateau, vapour.Plateau));
        results.Add((FigureKind.VapourResidual, vapour.Residual));
        results.Add((FigureKind.VapourDip, vapour.Dip));
        results.Add((FigureKind.VapourRecovery, vapour.Recovery));
        results.Add((FigureKind.TimeInVapour, vapour.TimeInVapour));
    }

    /// <summary>From 20 s before the run: the level before loading belongs to its figures.</summary>
    private CurveView View(ChannelTrack track) => track.Curve.View(
        _scope.Run.StartTicks - VapourWatch.SteadyTicks, _scope.EndTicks, _scope.Run.StartTicks, track.GapTicks);

    private static bool Rests(in CurveView view, double noiseSigma)
    {
        int first = view.IndexAtOrBefore(view.Seconds(view.Count - 1) - (VapourWatch.SteadyTicks / (double)Timestamp.TicksPerSecond));
        (double least, double most) = (double.PositiveInfinity, double.NegativeInfinity);
        for (int i = Math.Max(0, first); i < view.Count; i++)
        {
            (least, most) = (Math.Min(least, view[i]), Math.Max(most, view[i]));
        }

        return first >= 0 && most - least <= VapourWatch.SteadySpread(noiseSigma);
    }

    private void FindPlateau(in CurveView view)
    {
        _leave = view.Seconds(view.Count - 1);
        _lifted = _voidStart is not null;
        if (_voidStart is { } start)
        {
            _leave = Math.Min(_leave, start);
        }
        else if (Peaks.Sustained(view) is { HasBounds: true } held && Crossings.LastFalling(view, held.Low - LiftKelvin) is { Found: true } lift)
        {
            (_leave, _lifted) = (lift.Seconds, true);
        }

        Plateau = MedianBefore(view, _leave);
        Residual = ResidualOf(Plateau);
    }

    private Outcome ResidualOf(Outcome plateau)
    {
        if (!plateau.HasValue || _scope.Spec?.Fluid is not { } fluid)
        {
            return plateau.HasValue ? Outcome.Missing(FigureReasons.NotDefined) : plateau;
        }

        if ((_scope.Gauge ?? _scope.Parts.Barometer) is not { } gauge)
        {
            return Outcome.Missing(FigureReasons.NoChannel);
        }

        Outcome pressure = MedianBefore(View(gauge), _leave);
        return pressure.HasValue ? Outcome.Known(plateau.Low - BoilingPoint.At(fluid, pressure.Low).Celsius) : pressure;
    }

    private void FindDip(in CurveView view, double noiseSigma)
    {
        int last = view.IndexAtOrBefore(_leave);
        int first = view.IndexAtOrBefore(0);
        bool seen = !_scope.Run.Notes.Contains(RunInProgress.StartNotSeen) && first >= 4 && -view.Seconds(0) >= 0.9 * VapourWatch.SteadyTicks / Timestamp.TicksPerSecond;
        if (!seen || last <= first || view.HasGap(0, last))
        {
            Dip = Outcome.Missing(seen && last > first ? FigureReasons.Gap : FigureReasons.Truncated);
            return;
        }

        double level = MedianOf(view.Values[..(first + 1)]);
        int coldest = first;
        for (int i = first; i <= last; i++)
        {
            coldest = view[i] < view[coldest] ? i : coldest;
        }

        double least = VapourWatch.LeastDip(noiseSigma);
        if (level - view[coldest] <= least)
        {
            Dip = Outcome.Missing(FigureReasons.NeverReached);
            return;
        }

        Dip = Outcome.Known(level - view[coldest]);
        int begin = Find.Below(view.Values, level - least, first) - 1;
        while (begin > 0 && view[begin] < level - BackWithin)
        {
            begin--;
        }

        DipStart = view[begin + 1] < level - BackWithin ? view.TimeAt(begin, level - BackWithin) : view.Seconds(begin);
    }

    private void FindRecovery(in CurveView view)
    {
        if (double.IsNaN(DipStart) || !Plateau.HasValue)
        {
            Recovery = TimeInVapour = double.IsNaN(DipStart) ? Outcome.Missing(Dip.Reason!) : Plateau;
            return;
        }

        double back = Plateau.Low - BackWithin;
        int below = Find.Below(view.Values, back, view.IndexAtOrBefore(DipStart));
        int returned = below < 0 ? -1 : Find.AtOrAbove(view.Values, back, below);
        if (returned < 0 || view.TimeAt(returned - 1, back) > _leave)
        {
            Recovery = TimeInVapour = Outcome.Missing(FigureReasons.NeverReached);
            return;
        }

        _recovered = view.TimeAt(returned - 1, back);
        Recovery = Outcome.Known(_recovered - DipStart);
        TimeInVapour = _lifted ? Outcome.Known(_leave - _recovered) : Outcome.AtLeast(_leave - _recovered, FigureReasons.Truncated);
    }

    private static Outcome MedianBefore(in CurveView view, double seconds)
    {
        int last = view.IndexAtOrBefore(seconds);
        int before = view.IndexAtOrBefore(seconds - MedianSeconds);
        if (last < 0 || before < 0)
        {
            return Outcome.Missing(FigureReasons.Truncated);
        }

        // The record reaches back so far; what counts are the readings of the five seconds themselves.
        int first = view.Seconds(before) < seconds - MedianSeconds ? before + 1 : before;
        return view.HasGap(before, last) ? Outcome.Missing(FigureReasons.Gap)
            : first > last ? Outcome.Missing(FigureReasons.Truncated)
            : Outcome.Known(MedianOf(view.Values[first..(last + 1)]));
    }

    private static double MedianOf(ReadOnlySpan<double> values)
    {
        double[] sorted = values.ToArray();
        Array.Sort(sorted);
        int middle = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    }
}
