using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>When a run begins and ends by what the product channels show.</summary>
internal static class RunRules
{
    /// <summary>What a waiting carrier's curves must hold: two minutes for slopes, and some room.</summary>
    public const long HistoryTicks = 135 * Timestamp.TicksPerSecond;

    /// <summary>A channel that has given nothing for this long has no say in the run's end.</summary>
    public const long SilentTicks = 60 * Timestamp.TicksPerSecond;
    private const long UnplugTicks = 10 * Timestamp.TicksPerSecond;
    private const double WarmCelsius = 40;
    private const double BelowSolidus = 50;

    /// <summary>Start of the run that the channels show to have begun; null if they do not.</summary>
    public static long? StartOf(ImmutableArray<ProductWatch> boards, long now, long floorTicks)
    {
        int giving = 0;
        int rising = 0;
        foreach (ProductWatch watch in boards)
        {
            if (watch.Track.Curve.Count == 0 || now - watch.Track.Curve.LastTicks > watch.Track.GapTicks)
            {
                continue;
            }

            giving++;
            rising += watch.Rising ? 1 : 0;
        }

        if (2 * rising < giving)
        {
            return null;
        }

        long start = long.MaxValue;
        foreach (ProductWatch watch in boards)
        {
            if (watch.Rising && now - watch.Track.Curve.LastTicks <= watch.Track.GapTicks)
            {
                start = Math.Min(start, watch.FootTicks(floorTicks));
            }
        }

        return start;
    }

    /// <summary>Whether a channel was warm already where the run begins.</summary>
    public static bool WarmAt(ProductWatch watch, long startTicks)
    {
        // A machine's signal comes before the reading of its moment is judged: then the one before it tells.
        Curve curve = watch.Track.Curve;
        long first = Math.Min(curve.FirstAtOrAfter(startTicks), curve.Next - 1);
        return curve.Count > 0 && curve.ValueAt(first) > WarmCelsius;
    }

    /// <summary>End of the run by temperature, once a channel was above the soak's start; null while it goes on.</summary>
    public static (long Ticks, string Reason)? EndOf(
        ImmutableArray<ProductWatch> boards, ProductWatch grown, long now, Spec? spec, CellRules rules)
    {
        double value = grown.Track.Curve.LastValue;
        bool flat = grown.AtRest;
        bool risen = value - grown.LeastSince >= rules.NewRise;

        // Most readings show none of these on their own channel: only then are the others looked at.
        if (value >= rules.CooledBelow && !flat && !risen)
        {
            return null;
        }

        (int counted, int cooled, int atRest, int rises) = (0, 0, 0, 0);
        long least = long.MaxValue;
        foreach (ProductWatch watch in boards)
        {
            if (watch.Track.Curve.Count == 0 || now - watch.Track.Curve.LastTicks >= SilentTicks)
            {
                continue;
            }

            counted++;
            double last = watch.Track.Curve.LastValue;
            double frozen = (watch.Alloy?.Solidus ?? spec?.Alloy.Solidus ?? double.NegativeInfinity) - BelowSolidus;
            cooled += last < rules.CooledBelow ? 1 : 0;
            atRest += watch.AtRest && last < frozen ? 1 : 0;

            // A dip on the way up is no new board: only a rise from well below the solidus is one.
            if (last - watch.LeastSince >= rules.NewRise && watch.LeastSince < frozen)
            {
                rises++;
                least = Math.Min(least, watch.LeastTicks);
            }
        }

        return cooled == counted ? (now, "cooled")
            : atRest == counted ? (now, "leftInMachine")
            : 2 * rises >= counted && rises > 0 ? (least, "newRise")
            : null;
    }

    /// <summary>
    /// Whether the sensors were unplugged: all that gave readings in the run turned open within 10 s of each other, after
    /// the last fall through the liquidus.
    /// </summary>
    /// <param name="boards">The channels.</param>
    /// <param name="now">Time of the newest reading, UTC ticks.</param>
    /// <param name="startTicks">Start of the run.</param>
    public static bool AreUnplugged(ImmutableArray<ProductWatch> boards, long now, long startTicks)
    {
        (long first, long last) = (long.MaxValue, long.MinValue);
        bool wasMolten = false;
        foreach (ProductWatch watch in boards)
        {
            // A socket that nothing is plugged into, and a sensor lost long ago, have no say.
            ChannelTrack track = watch.Track;
            if (track.Curve.Count == 0 || track.Curve.LastTicks < startTicks
                || (track.OpenSince is { } lost && now - lost > SilentTicks && now - track.Curve.LastTicks > SilentTicks))
            {
                continue;
            }

            if (track.OpenSince is not { } open || watch.Hot)
            {
                return false;
            }

            wasMolten |= watch.Alloy is { } alloy && watch.Highest >= alloy.Liquidus;
            (first, last) = (Math.Min(first, open), Math.Max(last, open));
        }

        return wasMolten && last - first <= UnplugTicks;
    }
}
