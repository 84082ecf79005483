using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Figures;

/// <summary>Figures of the chamber, from the evacuations that work on voids.</summary>
internal static class VacuumFigures
{
    /// <summary>Colder than this below the liquidus at its start, an evacuation is no void step, K.</summary>
    private const double VoidWithin = 30;

    public static void Add(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope, IReadOnlyList<ChannelFigures> channels)
    {
        List<StepFigures> steps = VoidSteps(scope);
        ChannelFigures[] boards = [.. channels.Where((_, i) => scope.Products[i].Track.Definition.Place != Place.Air)];
        AddPressures(results, scope, steps);
        results.Add((FigureKind.MoltenToEvacuation, Of(scope, steps.FirstOrDefault(), s => MoltenFigures.SinceMolten(s, boards))));
        results.Add((FigureKind.MoltenAtEvacuation, Of(scope, steps.FirstOrDefault(), s => MoltenFigures.Margin(scope, s.Start, boards))));
        results.Add((FigureKind.MoltenAtVentEnd, Of(scope, steps.LastOrDefault(), s => s.Ended
            ? MoltenFigures.Margin(scope, s.End, boards)
            : Outcome.Missing(FigureReasons.Truncated))));
        results.Add((FigureKind.MoltenVacuum, Sum(scope, steps, s => MoltenFigures.MoltenVacuum(scope, s, boards))));
        results.Add((FigureKind.PeakToEvacuation, Of(scope, steps.FirstOrDefault(), s => MoltenFigures.SincePeak(s, boards))));
        AddCount(results, scope, steps);
    }

    /// <summary>The figures that need no product channel.</summary>
    public static void AddOfChamber(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope)
    {
        List<StepFigures> steps = VoidSteps(scope);
        AddPressures(results, scope, steps);
        AddCount(results, scope, steps);
    }

    private static void AddPressures(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope, List<StepFigures> steps)
    {
        results.Add((FigureKind.PumpDownTime, Longest(scope, steps, s => s.PumpDown())));
        results.Add((FigureKind.LowestPressure, Least(scope, steps, s => s.Lowest())));
        results.Add((FigureKind.VacuumHold, Sum(scope, steps, s => s.Hold())));
        results.Add((FigureKind.SteepestEvacuation, Longest(scope, steps, s => s.SteepestEvacuation())));
        results.Add((FigureKind.VentTime, Longest(scope, steps, s => s.Vent())));
        results.Add((FigureKind.SteepestVent, Longest(scope, steps, s => s.SteepestVent())));
    }

    private static void AddCount(List<(FigureKind Figure, Outcome Outcome)> results, RunScope scope, List<StepFigures> steps)
    {
        results.Add((FigureKind.VoidExpansion, Longest(scope, steps, s => s.Expansion())));
        results.Add((FigureKind.Evacuations, steps.Count == 0 && Unseen(scope) is { } reason ? Outcome.Missing(reason) : Outcome.Known(steps.Count)));
    }

    /// <summary>Whether the evacuations are others than the spec asks for. A record that may have missed one does not say so.</summary>
    public static bool AreUnexpected(RunScope scope)
    {
        if (scope.Spec is not { } spec || scope.Gauge is null)
        {
            return false;
        }

        int found = scope.Run.Steps.Count;
        int? asked = spec.Vacuum is null ? 0 : spec.Vacuum.Steps.IsEmpty ? null : spec.Vacuum.Steps.Length;
        return found > asked || (found < asked && Unseen(scope) is null);
    }

    /// <summary>The evacuations that work on voids.</summary>
    public static List<StepFigures> VoidSteps(RunScope scope)
    {
        List<StepFigures> found = [];
        List<VacuumStep> steps = scope.Gauge is null ? [] : scope.Run.Steps;
        bool asksForNone = scope.Spec?.Vacuum is not { Steps.IsEmpty: false };
        for (int i = 0; i < steps.Count; i++)
        {
            VacuumStepSpec? asked = scope.Spec?.Vacuum is { } vacuum && i < vacuum.Steps.Length ? vacuum.Steps[i] : null;
            var figures = new StepFigures(scope, steps[i], scope.Spec?.Vacuum?.TargetOf(i));
            if (asked?.Purpose is { } purpose ? purpose == "void" : !scope.Run.IsMeasured || scope.Products.IsEmpty || IsHot(scope, figures.Start))
            {
                found.Add(figures);
            }
        }

        return (!scope.Run.IsMeasured || scope.Products.IsEmpty) && asksForNone && found.Count > 1 ? [found.MinBy(s => s.Least)!] : found;
    }

    private static bool IsHot(RunScope scope, double seconds)
    {
        foreach (ProductWatch watch in scope.Products)
        {
            // Without a spec nobody knows the alloy: then a step is taken for what most are.
            if (watch.Alloy is not { } alloy || scope.View(watch.Track).ValueAt(seconds) >= alloy.Liquidus - VoidWithin)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>What stands for every figure of a run without a void step.</summary>
    private static Outcome None(RunScope scope) => Outcome.Missing(Unseen(scope) ?? FigureReasons.NeverReached);

    /// <summary>Why the record could have missed an evacuation; null if it could not.</summary>
    private static string? Unseen(RunScope scope)
    {
        if (scope.Gauge is null || scope.View(scope.Gauge).Count == 0)
        {
            return FigureReasons.NoChannel;
        }

        if (!scope.RestKnown)
        {
            return FigureReasons.Truncated;
        }

        CurveView pressure = scope.View(scope.Gauge);
        return RunEvaluator.IsLost(scope, scope.Gauge, out string reason) ? reason
            : pressure.HasGap(0, pressure.Count - 1) ? FigureReasons.Gap
            : null;
    }

    private static Outcome Of(RunScope scope, StepFigures? step, Func<StepFigures, Outcome> figure) =>
        step is null ? None(scope) : figure(step);

    private static Outcome Longest(RunScope scope, List<StepFigures> steps, Func<StepFigures, Outcome> figure) =>
        Fold(scope, steps, figure, static (a, b) => new Outcome(Math.Max(a.Low, b.Low), Math.Max(a.High, b.High), a.Reason ?? b.Reason));

    private static Outcome Least(RunScope scope, List<StepFigures> steps, Func<StepFigures, Outcome> figure) =>
        Fold(scope, steps, figure, static (a, b) => new Outcome(Math.Min(a.Low, b.Low), Math.Min(a.High, b.High), a.Reason ?? b.Reason));

    private static Outcome Sum(RunScope scope, List<StepFigures> steps, Func<StepFigures, Outcome> figure) =>
        Fold(scope, steps, figure, static (a, b) => new Outcome(a.Low + b.Low, a.High + b.High, a.Reason ?? b.Reason));

    private static Outcome Fold(
        RunScope scope, List<StepFigures> steps, Func<StepFigures, Outcome> figure, Func<Outcome, Outcome, Outcome> join)
    {
        if (steps.Count == 0)
        {
            return None(scope);
        }

        Outcome all = figure(steps[0]);
        foreach (StepFigures step in steps.Skip(1))
        {
            Outcome next = figure(step);
            all = !all.HasBounds ? all : !next.HasBounds ? next : join(all, next);
        }

        return all.HasBounds && all.HasValue && all.Low != 0 ? all with { Reason = null, Note = null } : all;
    }
}
