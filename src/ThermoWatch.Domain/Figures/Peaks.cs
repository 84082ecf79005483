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
        double best = double.NegativeInfinity;
        double hidden = double.NegativeInfinity;
        if (c.IsWhole)
        {
            best = SustainedOfWhole(c, ref candidates);
        }
        else
        {
            int first = 0;
            for (int i = 0; i < c.Count; i++)
            {
                if (i == c.Count - 1 || c.IsGap(i))
                {
                    best = Math.Max(best, Sustained(c, first, i, ref candidates));
                    hidden = i == c.Count - 1 ? hidden : Math.Max(hidden, MostHeldInGap(c, i));
                    first = i + 1;
                }
            }
        }

        ArrayPool<int>.Shared.Return(candidates);
        if (hidden > best)
        {
            return new Outcome(best, hidden, FigureReasons.Gap);
        }

        return double.IsFinite(best) ? Outcome.Known(best) : Outcome.Missing(FigureReasons.Truncated);
    }

    /// <summary>The same where there is no gap: what is held round the peak is nearly always the answer, and little else can be better.</summary>
    private static double SustainedOfWhole(in CurveView c, ref int[] candidates)
    {
        int top = IndexOfHighest(c);
        int before = Math.Max(0, IndexAtOrAfter(c, c.Ticks(top) - SustainedTicks) - 1);
        int after = Math.Min(c.Count - 1, IndexAtOrAfter(c, c.Ticks(top) + SustainedTicks));
        double best = Sustained(c, before, after, ref candidates);

        // A window that holds more lies wholly in a stay above, but for its start between two readings.
        for (int first = Find.AtOrAbove(c.Values, best); first >= 0;)
        {
            int below = Find.Below(c.Values, best, first + 1);
            int last = (below < 0 ? c.Count : below) - 1;
            int from = Math.Max(0, first - 1);
            if (c.Ticks(last) - c.Ticks(from) >= SustainedTicks)
            {
                best = Math.Max(best, Sustained(c, from, last, ref candidates));
            }

            first = below < 0 ? -1 : Find.AtOrAbove(c.Values, best, below + 1);
        }

        return best;
    }

    /// <summary>Greatest of the smallest values of all whole windows between two readings with no gap between them.</summary>
    /// <param name="c">The curve.</param>
    /// <param name="first">The first reading.</param>
    /// <param name="last">The last one.</param>
    /// <param name="candidates">Indices of a window's candidates for its least value, their values rising: each enters and leaves once.</param>
    private static double Sustained(in CurveView c, int first, int last, ref int[] candidates)
    {
        int head = 0;
        int tail = 0;
        int start = first;
        double best = double.NegativeInfinity;
        for (int end = first; end <= last; end++)
        {
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
            if (from < c.Ticks(first))
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

        return best;
    }

    private static int IndexAtOrAfter(in CurveView c, long ticks)
    {
        int found = c.AllTicks.BinarySearch(ticks);
        return found < 0 ? ~found : found;
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
