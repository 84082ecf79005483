namespace ThermoWatch.Domain.Figures;

/// <summary>Stretches of time, rising and apart, in which something holds.</summary>
internal static class Intervals
{
    /// <summary>Where a curve is at or above (below) a level, within two times.</summary>
    /// <param name="c">The curve.</param>
    /// <param name="level">The level.</param>
    /// <param name="above">Whether above or below is asked for.</param>
    /// <param name="from">s from the run's start.</param>
    /// <param name="to">s from the run's start.</param>
    /// <param name="hopeful">Whether it is taken to hold inside gaps, or not to.</param>
    public static List<(double From, double To)> Of(in CurveView c, double level, bool above, double from, double to, bool hopeful)
    {
        List<(double From, double To)> found = [];
        int last = Math.Min(c.Count - 1, c.IndexAtOrBefore(to) + 1);
        for (int i = Math.Max(0, c.IndexAtOrBefore(from)); i < last; i++)
        {
            double t1 = c.Seconds(i);
            double t2 = c.Seconds(i + 1);
            bool first = above ? c[i] >= level : c[i] <= level;
            bool second = above ? c[i + 1] >= level : c[i + 1] <= level;
            if (c.IsGap(i))
            {
                (first, second) = (hopeful, hopeful);
            }

            if (!first && !second)
            {
                continue;
            }

            double begin = Math.Max(from, first ? t1 : c.TimeAt(i, level));
            double end = Math.Min(to, second ? t2 : c.TimeAt(i, level));
            if (end <= begin)
            {
                continue;
            }

            if (found.Count > 0 && found[^1].To == begin)
            {
                found[^1] = (found[^1].From, end);
            }
            else
            {
                found.Add((begin, end));
            }
        }

        return found;
    }

    /// <summary>Where both hold.</summary>
    public static List<(double From, double To)> Both(List<(double From, double To)> a, List<(double From, double To)> b)
    {
        List<(double From, double To)> both = [];
        for (int i = 0, j = 0; i < a.Count && j < b.Count;)
        {
            double begin = Math.Max(a[i].From, b[j].From);
            double end = Math.Min(a[i].To, b[j].To);
            if (begin < end)
            {
                both.Add((begin, end));
            }

            if (a[i].To <= b[j].To)
            {
                i++;
            }
            else
            {
                j++;
            }
        }

        return both;
    }

    /// <summary>Total length, s.</summary>
    public static double Length(List<(double From, double To)> intervals)
    {
        double sum = 0;
        foreach ((double from, double to) in intervals)
        {
            sum += to - from;
        }

        return sum;
    }
}
