using System.Buffers;

namespace ThermoWatch.Domain.Figures;

/// <summary>The highest point of a curve, and how long it is held.</summary>
internal static class Peaks
{
    /// <summary>How long the sustained peak is held, s.</summary>
    public const double SustainedSeconds = 5;

    /// <summary>Candidates to have room for at first: a window's readings, and some more.</summary>
    private const int UsualWindow = 256;

    private const long SustainedTicks = (long)SustainedSeconds * TimeSpan.TicksPerSecond;

    /// <summary>Index of the largest value, the first of equals; -1 of an empty curve.</summary>
    public static int IndexOfHighest(in CurveView c) => Find.Highest(c.Values);

    /// <summary>Largest value, with what gaps may hide above it.</summary>
    public static Outcome Highest(in CurveView c, int indexOfHighest)
    {
        if (indexOfHighest < 0)
        {
            return Outcome.Missing(FigureReasons.NoChannel);
        }

        double low = c[indexOfHighest];
        double high = low;
        for (int i = 0; i < c.Count - 1 && !c.IsWhole; i++)
        {
            if (c.IsGap(i))
            {
                high = Math.Max(high, c.Apex(i));
            }
        }

        return Outcome.Between(low, high, FigureReasons.Gap);
    }

    /// <summary>Greatest of the smallest values of all whole 5 s windows that end at a reading and hold no gap.</summary>
    public static Outcome Sustained(in CurveView c)
    {
        if (c.Count == 0)
        {
            return Outcome.Missing(FigureReasons.NoChannel);
        }

        int[] candidates = ArrayPool<int>.Shared.Rent(UsualWindow);
        Outcome outcome = Sustained(c, ref candidates);
        ArrayPool<int>.Shared.Return(candidates);
        return outcome;
    }

    /// <param name="c">The curve.</param>
    /// <param name="candidates">Indices of a window's candidates for its least value, their values rising: each enters and leaves once.</param>
    private static Outcome Sustained(in CurveView c, ref int[] candidates)
    {
        int head = 0;
        int tail = 0;
        int start = 0;
        long wholeSince = c.Ticks(0);
        double best = double.NegativeInfinity;
        double hidden = double.NegativeInfinity;
        for (int end = 0; end < c.Count; end++)
        {
            if (end > 0 && c.IsGap(end - 1))
            {
                wholeSince = c.Ticks(end);
                hidden = Math.Max(hidden, MostHeldInGap(c, end - 1));
            }

            while (tail > head && c[candidates[tail - 1]] >= c[end])
            {
                tail--;
            }

            if (tail == candidates.Length)
            {
                (candidates, head, tail) = (MakeRoom(candidates, head), 0, tail - head);
            }

            candidates[tail++] = end;
            long from = c.Ticks(end) - SustainedTicks;
            if (from < wholeSince)
            {
                continue;
            }

            while (c.Ticks(start) < from)
            {
                start++;
            }

            while (candidates[head] < start)
            {
                head++;
            }

            double least = c[candidates[head]];
            if (c.Ticks(start) > from)
            {
                least = Math.Min(least, Interpolate(c, start - 1, from));
            }

            best = Math.Max(best, least);
        }

        if (hidden > best)
        {
            return new Outcome(best, hidden, FigureReasons.Gap);
        }

        return double.IsFinite(best) ? Outcome.Known(best) : Outcome.Missing(FigureReasons.Truncated);
    }

    /// <summary>Moves what is in use to the front; into a larger array if that is most of it.</summary>
    private static int[] MakeRoom(int[] candidates, int head)
    {
        int used = candidates.Length - head;
        if (used <= candidates.Length / 2)
        {
            candidates.AsSpan(head).CopyTo(candidates);
            return candidates;
        }

        int[] larger = ArrayPool<int>.Shared.Rent(2 * candidates.Length);
        candidates.AsSpan(head).CopyTo(larger);
        ArrayPool<int>.Shared.Return(candidates);
        return larger;
    }

    /// <summary>A window that touches a gap shorter than itself also holds one of its ends; a longer gap can hide a whole one.</summary>
    private static double MostHeldInGap(in CurveView c, int gap)
    {
        double ends = Math.Max(c[gap], c[gap + 1]);
        return c.Length(gap) < SustainedSeconds
            ? ends
            : Math.Max(ends, c.Apex(gap) - (CurveView.FastestChange * SustainedSeconds / 2));
    }

    private static double Interpolate(in CurveView c, int segment, long ticks) => c[segment]
        + ((c[segment + 1] - c[segment]) * ((ticks - c.Ticks(segment)) / (double)(c.Ticks(segment + 1) - c.Ticks(segment))));
}
