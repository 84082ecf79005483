using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>Pressure figures of one evacuation. At the target counts as reached.</summary>
internal sealed class StepFigures
{
    private static readonly SlopeWindow s_evacuation = new(1, 5, Extend: true);
    private static readonly SlopeWindow s_vent = new(0.5, 3, Extend: true);

    private readonly RunScope _scope;
    private readonly VacuumStep _step;
    private readonly double? _target;
    private double _reached = double.NaN;
    private double _left = double.NaN;
    private bool _reachedInGap;
    private bool _leftInGap;

    public StepFigures(RunScope scope, VacuumStep step, double? targetMillibar)
    {
        (_scope, _step, _target) = (scope, step, targetMillibar);
        Start = ToSeconds(step.StartTicks);
        Ended = step.EndTicks is not null;
        End = ToSeconds(step.EndTicks ?? scope.EndTicks);
        CurveView p = View();
        Least = double.PositiveInfinity;
        for (int i = 0; i < p.Count; i++)
        {
            if (p.Seconds(i) >= Start && p.Seconds(i) <= End)
            {
                Least = Math.Min(Least, p[i]);
            }
        }

        if (targetMillibar is { } target)
        {
            FindStay(p, target);
        }
    }

    /// <summary>s from the run's start.</summary>
    public double Start { get; }

    /// <summary>s from the run's start; the record's end while it has not ended.</summary>
    public double End { get; }

    /// <summary>Whether the pressure came back within the record.</summary>
    public bool Ended { get; }

    /// <summary>Least reading, mbar.</summary>
    public double Least { get; }

    public double? Target => _target;

    /// <summary>Where the step begins, UTC ticks.</summary>
    public long StartTicks => _step.StartTicks;

    /// <summary>First fall to the target, s from the run's start; NaN if there was none.</summary>
    public double Reached => _reached;

    /// <summary>Last rise through the target, s from the run's start; NaN if there was none.</summary>
    public double Left => _left;

    /// <summary>Slope of the pressure at a time, mbar/s: that of its segment, as a vacuum bends too much for a longer one.</summary>
    public double SlopeAt(double seconds)
    {
        CurveView p = View();
        int i = Math.Clamp(p.IndexAtOrBefore(seconds), 0, p.Count - 2);
        return (p[i + 1] - p[i]) / p.Length(i);
    }

    public CurveView View() =>
        _scope.Gauge!.Curve.Around(_step.StartTicks, _step.EndTicks ?? _scope.EndTicks, _scope.Run.StartTicks, _scope.Gauge.GapTicks);

    public Outcome PumpDown()
    {
        if (_target is null)
        {
            return Outcome.Missing(FigureReasons.NotDefined);
        }

        if (_step.StartUnsure || _reachedInGap)
        {
            return Outcome.Missing(FigureReasons.Gap);
        }

        return !double.IsNaN(_reached) ? Outcome.Known(_reached - Start)
            : Ended ? Outcome.Missing(FigureReasons.NeverReached)
            : Outcome.AtLeast(End - Start, FigureReasons.Truncated);
    }

    public Outcome Lowest() => double.IsFinite(Least) ? Outcome.Known(Least) : Outcome.Missing(FigureReasons.Gap);

    public Outcome Expansion() => double.IsNaN(_step.RestPressure) ? Outcome.Missing(FigureReasons.Truncated)
        : double.IsFinite(Least) ? Outcome.Known(_step.RestPressure / Least) : Outcome.Missing(FigureReasons.Gap);

    public Outcome Hold() => _target is { } target
        ? Total(hopeful => Intervals.Of(View(), target, above: false, Start, End, hopeful), View().IsWhole, stillBelow: !Ended && Least <= target)
        : Outcome.Missing(FigureReasons.NotDefined);

    public Outcome Vent()
    {
        if (AfterTarget() is { } missing)
        {
            return missing;
        }

        return Ended ? Outcome.Known(End - _left) : Outcome.AtLeast(End - _left, FigureReasons.Truncated);
    }

    public Outcome SteepestVent() => AfterTarget() ?? Slope(_left, End, s_vent, 1, logarithm: false);

    public Outcome SteepestEvacuation() => _target is null
        ? Outcome.Missing(FigureReasons.NotDefined)
        : Slope(Start, double.IsNaN(_reached) ? End : _reached, s_evacuation, -1, logarithm: true);

    /// <summary>A total of time, bounded where gaps hide some.</summary>
    /// <param name="holding">When it holds, if it does, or does not, inside gaps.</param>
    /// <param name="whole">Whether no curve concerned has a gap.</param>
    /// <param name="stillBelow">Whether the record ends before it does.</param>
    public static Outcome Total(Func<bool, List<(double From, double To)>> holding, bool whole, bool stillBelow)
    {
        double low = Intervals.Length(holding(false));
        double high = whole ? low : Intervals.Length(holding(true));
        return stillBelow ? Outcome.AtLeast(low, FigureReasons.Truncated)
            : high > low ? Outcome.Between(low, high, FigureReasons.Gap)
            : low > 0 ? Outcome.Known(low)
            : Outcome.NothingToSum;
    }

    private Outcome? AfterTarget() =>
        _target is null ? Outcome.Missing(FigureReasons.NotDefined)
        : _leftInGap ? Outcome.Missing(FigureReasons.Gap)
        : double.IsNaN(_left) ? Outcome.Missing(Ended ? FigureReasons.NeverReached : FigureReasons.Truncated)
        : null;

    private Outcome Slope(double from, double to, SlopeWindow window, int sign, bool logarithm)
    {
        CurveView p = View();
        int first = 0;
        while (first < p.Count && p.Seconds(first) < from)
        {
            first++;
        }

        int last = p.IndexAtOrBefore(to);
        if (last <= first)
        {
            return Outcome.Missing(FigureReasons.NotDefined);
        }

        double[] values = p.Values.ToArray();
        for (int i = 0; logarithm && i < values.Length; i++)
        {
            values[i] = Math.Log(values[i]);
        }

        double slope = Slopes.Steepest(p.With(values), first, last, window, sign);
        return p.HasGap(first, last) ? new Outcome(double.IsNaN(slope) ? double.NegativeInfinity : slope, double.PositiveInfinity, FigureReasons.Gap)
            : double.IsNaN(slope) ? Outcome.Missing(FigureReasons.NotDefined)
            : Outcome.Known(slope);
    }

    private void FindStay(in CurveView p, double target)
    {
        bool gapBefore = false;
        for (int i = 0; i < p.Count - 1; i++)
        {
            bool gap = p.IsGap(i);
            gapBefore |= gap && double.IsNaN(_reached);
            if (p[i] > target && p[i + 1] <= target && double.IsNaN(_reached))
            {
                _reached = gap ? p.Seconds(i + 1) : p.TimeAt(i, target);
                _reachedInGap = gapBefore;
            }
            else if (p[i] <= target && p[i + 1] > target)
            {
                _left = gap ? p.Seconds(i) : p.TimeAt(i, target);
                _leftInGap = gap;
            }
            else if (gap && !double.IsNaN(_left))
            {
                _leftInGap = true;
            }
        }

        _reachedInGap |= double.IsNaN(_reached) && gapBefore;

        // Below the target again after it: the vent has not begun.
        if (p.Count > 0 && !Ended && p[p.Count - 1] <= target)
        {
            _left = double.NaN;
        }
    }

    private double ToSeconds(long ticks) => (ticks - _scope.Run.StartTicks) / (double)Timestamp.TicksPerSecond;
}
