using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>Finds a run's phases from its curves.</summary>
internal static class PhaseBuilder
{
    private const double Handled = 40;

    /// <summary>Phases on the product's ribbon, by settled crossings of any product channel.</summary>
    /// <param name="phases">Where they are added.</param>
    /// <param name="watches">Product channels, air left out.</param>
    /// <param name="spec">Spec of the run; null without one.</param>
    /// <param name="from">Start of the run, UTC ticks.</param>
    /// <param name="to">End of the run, or the newest reading's time while it goes on.</param>
    /// <param name="open">Whether the run goes on.</param>
    public static void Thermal(
        ImmutableArray<PhaseSpan>.Builder phases, IReadOnlyList<ProductWatch> watches, Spec? spec, long from, long to, bool open)
    {
        double soakFrom = spec?.Soak?.From ?? ChannelLevels.DefaultSoakFrom;
        long?[] marks =
        [
            from,
            First(watches, from, to, _ => Handled),
            spec?.Soak is null ? null : First(watches, from, to, _ => soakFrom),
            First(watches, from, to, _ => spec?.Soak?.To ?? soakFrom),
            spec is null ? null : First(watches, from, to, w => w.Alloy?.Liquidus),
            null,
        ];
        if (marks[4] is { } molten && !watches.Any(w => open ? w.Hot : EndsMolten(w, to)))
        {
            marks[5] = LastFall(watches, from, to) is { } fall && fall > molten ? fall : null;
        }

        string[] names = ["load", "preheat", "soak", "ramp", "reflow", "cool"];
        for (int i = 0; i < marks.Length; i++)
        {
            if (marks[i] is not { } start)
            {
                continue;
            }

            // A later phase that begins no later leaves this one no time: it did not happen.
            long? next = null;
            for (int later = i + 1; later < marks.Length; later++)
            {
                next = marks[later] is { } other && (next is null || other < next) ? other : next;
            }

            if (next is null || next > start)
            {
                phases.Add(new PhaseSpan(
                    PhaseTrack.Thermal, names[i], new Timestamp(start), next is { } end ? new Timestamp(end) : open ? null : new Timestamp(to)));
            }
        }
    }

    /// <summary>Phases on the chamber's ribbon.</summary>
    public static void Vacuum(
        ImmutableArray<PhaseSpan>.Builder phases, ChannelTrack gauge, IReadOnlyList<VacuumStep> steps, VacuumSpec? asked, long to, bool open)
    {
        for (int i = 0; i < steps.Count; i++)
        {
            VacuumStep step = steps[i];
            long end = step.EndTicks ?? to;
            bool goesOn = open && step.EndTicks is null;
            CurveView view = gauge.Curve.View(step.StartTicks, end, step.StartTicks, gauge.GapTicks);
            (long? reached, long? left) = asked?.TargetOf(i) is { } target ? Stay(view, target) : (null, null);
            Add("evacuate", step.StartTicks, reached, end, goesOn);
            if (reached is { } hold)
            {
                Add("hold", hold, left, end, goesOn);
            }

            if (left is { } vent)
            {
                Add("vent", vent, null, end, goesOn);
            }
        }

        void Add(string name, long start, long? next, long end, bool goesOn) => phases.Add(new PhaseSpan(
            PhaseTrack.Vacuum, name, new Timestamp(start), next is { } until ? new Timestamp(until) : goesOn ? null : new Timestamp(end)));
    }

    /// <summary>First falling and last rising crossing of the target; null where not seen.</summary>
    private static (long? Reached, long? Left) Stay(in CurveView view, double target)
    {
        long? reached = null;
        long? left = null;
        for (int i = 0; i < view.Count - 1; i++)
        {
            if (view[i] > target && view[i + 1] <= target)
            {
                reached ??= view.IsGap(i) ? view.Ticks(i + 1) : view.ToTicks(view.TimeAt(i, target));
                left = null;
            }
            else if (view[i] <= target && view[i + 1] > target)
            {
                left = view.IsGap(i) ? view.Ticks(i + 1) : view.ToTicks(view.TimeAt(i, target));
            }
        }

        return (reached, left);
    }

    private static long? First(IReadOnlyList<ProductWatch> watches, long from, long to, Func<ProductWatch, double?> level)
    {
        long? first = null;
        foreach (ProductWatch watch in watches)
        {
            if (level(watch) is not { } wanted)
            {
                continue;
            }

            CurveView view = watch.Track.Curve.View(from, to, from, watch.Track.GapTicks);
            if (Passing(view, wanted) is { } passed && (first is null || passed < first))
            {
                first = passed;
            }
        }

        return first;
    }

    private static long? Passing(in CurveView view, double level)
    {
        if (view.Count == 0)
        {
            return null;
        }

        if (view[0] >= level)
        {
            return view.Ticks(0);
        }

        Crossing crossing = Crossings.SettledRising(view, level);
        if (crossing.Kind != CrossingKind.Gap)
        {
            return crossing.Found ? view.ToTicks(crossing.Seconds) : null;
        }

        // Hidden in a gap: the phase is known to have begun at the first reading above the level.
        for (int i = 0; i < view.Count; i++)
        {
            if (view[i] >= level)
            {
                return view.Ticks(i);
            }
        }

        return null;
    }

    private static bool EndsMolten(ProductWatch watch, long to)
    {
        Curve curve = watch.Track.Curve;
        long after = curve.FirstAtOrAfter(to + 1);
        return watch.Alloy is { } alloy && after > curve.First && curve.ValueAt(after - 1) >= alloy.Liquidus;
    }

    private static long? LastFall(IReadOnlyList<ProductWatch> watches, long from, long to)
    {
        long? last = null;
        foreach (ProductWatch watch in watches)
        {
            if (watch.Alloy is not { } alloy)
            {
                continue;
            }

            CurveView view = watch.Track.Curve.View(from, to, from, watch.Track.GapTicks);
            for (int i = view.Count - 2; i >= 0; i--)
            {
                if (view[i] >= alloy.Liquidus && view[i + 1] < alloy.Liquidus)
                {
                    long fall = view.ToTicks(view.TimeAt(i, alloy.Liquidus));
                    last = last is null || fall > last ? fall : last;
                    break;
                }
            }
        }

        return last;
    }
}
