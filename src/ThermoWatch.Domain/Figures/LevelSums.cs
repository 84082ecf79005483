namespace ThermoWatch.Domain.Figures;

/// <summary>Sums over the time that a curve spends at or above a level, with bounds where gaps hide some of it.</summary>
internal static class LevelSums
{
    private const double R = CurveView.FastestChange;

    /// <summary>Total time at or above the level, s.</summary>
    public static Outcome TimeAbove(in CurveView c, double level)
    {
        if (c.IsWhole)
        {
            return TimeAboveOfWhole(c, level);
        }

        double low = 0;
        double hidden = 0;
        bool reached = c.Count > 0 && c[0] >= level;
        for (int i = 0; i < c.Count - 1; i++)
        {
            double v1 = c[i];
            double v2 = c[i + 1];
            reached |= v2 >= level;
            if (c.IsGap(i))
            {
                double least = LeastInGap(c.Length(i), v1, v2, level);
                low += least;
                hidden += Math.Max(0, MostInGap(c.Length(i), v1, v2, level) - least);
            }
            else
            {
                low += InSegment(c.Length(i), v1, v2, level);
            }
        }

        return Close(c, level, low, low + hidden, reached);
    }

    /// <summary>The same without gaps: from stay to stay.</summary>
    private static Outcome TimeAboveOfWhole(in CurveView c, double level)
    {
        ReadOnlySpan<double> values = c.Values;
        int first = Find.AtOrAbove(values, level);
        bool reached = first >= 0;
        double sum = 0;
        while (first >= 0)
        {
            int below = Find.Below(values, level, first + 1);
            int last = (below < 0 ? c.Count : below) - 1;
            sum += first > 0 ? InSegment(c.Length(first - 1), values[first - 1], values[first], level) : 0;
            sum += c.Between(first, last);
            sum += below < 0 ? 0 : InSegment(c.Length(last), values[last], values[below], level);
            first = below < 0 ? -1 : Find.AtOrAbove(values, level, below + 1);
        }

        return Close(c, level, sum, sum, reached);
    }

    /// <summary>Integral of (curve - level) where it is not negative, K·s.</summary>
    public static Outcome HeatAbove(in CurveView c, double level)
    {
        double low = 0;
        double hidden = 0;
        bool reached = c.Count > 0 && c[0] >= level;

        // Most of a run lies below the level, and adds nothing.
        int from = c.IsWhole ? Math.Max(0, Find.AtOrAbove(c.Values, level) - 1) : 0;
        int until = c.IsWhole ? Find.LastAtOrAbove(c.Values, level) + 1 : c.Count - 1;
        for (int i = from; i < Math.Min(until, c.Count - 1); i++)
        {
            double a = Math.Max(0, c[i] - level);
            double b = Math.Max(0, c[i + 1] - level);
            reached |= c[i + 1] >= level;
            if (c.IsGap(i))
            {
                double bottom = Math.Max(0, c.Bottom(i) - level);
                double apex = Math.Max(0, c.Apex(i) - level);
                // Ends further apart than the fastest change allows leave no room: then the straight line bounds both.
                double straight = (a + b) / 2 * c.Length(i);
                double least = Math.Min(straight, ((a * a) + (b * b) - (2 * bottom * bottom)) / (2 * R));
                low += least;
                hidden += Math.Max(straight, ((2 * apex * apex) - (a * a) - (b * b)) / (2 * R)) - least;
            }
            else
            {
                low += (a + b) / 2 * InSegment(c.Length(i), c[i], c[i + 1], level);
            }
        }

        return Close(c, level, low, low + hidden, reached);
    }

    /// <summary>Longest single stay at or above the level, s; dips that stay above level - hysteresis do not split it.</summary>
    public static Outcome LongestAbove(in CurveView c, double level, double hysteresis = Crossings.TemperatureHysteresis)
    {
        bool reached = Find.AtOrAbove(c.Values, level) >= 0;
        double least = c.IsWhole ? LongestOfWhole(c, level, hysteresis) : Longest(c, level, hysteresis, hopeful: false);
        return Close(c, level, least, c.IsWhole ? least : Longest(c, level, hysteresis, hopeful: true), reached);
    }

    private static double LongestOfWhole(in CurveView c, double level, double hysteresis)
    {
        ReadOnlySpan<double> values = c.Values;
        double longest = 0;
        double entered = double.NaN;
        int first = Find.AtOrAbove(values, level);
        while (first >= 0)
        {
            entered = !double.IsNaN(entered) ? entered : first == 0 ? c.Seconds(0) : c.TimeAt(first - 1, level);
            int below = Find.Below(values, level, first + 1);
            longest = Math.Max(longest, (below < 0 ? c.Seconds(c.Count - 1) : c.TimeAt(below - 1, level)) - entered);
            first = below < 0 ? -1 : Find.AtOrAbove(values, level, below + 1);
            for (int dip = below; first >= 0 && dip < first && !double.IsNaN(entered); dip++)
            {
                entered = values[dip] <= level - hysteresis ? double.NaN : entered;
            }
        }

        return longest;
    }

    private static double Longest(in CurveView c, double level, double hysteresis, bool hopeful)
    {
        double longest = 0;
        double entered = double.NaN;
        double left = double.NaN;
        if (c.Count > 0 && c[0] >= level)
        {
            entered = c.Seconds(0);
        }

        for (int i = 0; i < c.Count - 1; i++)
        {
            double v1 = c[i];
            double v2 = c[i + 1];
            if (!c.IsGap(i))
            {
                Enter(v1 < level && v2 >= level ? c.TimeAt(i, level) : double.NaN);
                Leave(v1 >= level && v2 < level ? c.TimeAt(i, level) : double.NaN);
                Split(v2);
            }
            else if (hopeful)
            {
                // As high as it can be: up at once from the first reading, down at the last moment to the second.
                double up = v1 >= level ? c.Seconds(i) : c.Seconds(i) + ((level - v1) / R);
                double down = v2 >= level ? c.Seconds(i + 1) : c.Seconds(i + 1) - ((level - v2) / R);
                if (up <= down)
                {
                    Enter(up);
                    Leave(v2 < level ? down : double.NaN);
                }
                else if (v2 >= level)
                {
                    Enter(c.Seconds(i + 1));
                }
                else if (v1 >= level)
                {
                    Leave(c.Seconds(i));
                }

                Split(v2);
            }
            else if (c.Bottom(i) < level)
            {
                Leave(v1 >= level ? Math.Min(c.Seconds(i + 1), c.Seconds(i) + ((v1 - level) / R)) : double.NaN);
                Split(c.Bottom(i));
                Enter(v2 >= level ? Math.Max(c.Seconds(i), c.Seconds(i + 1) - ((v2 - level) / R)) : double.NaN);
            }
        }

        return !double.IsNaN(entered) && double.IsNaN(left) ? Math.Max(longest, c.Seconds(c.Count - 1) - entered) : longest;

        void Enter(double at)
        {
            if (!double.IsNaN(at))
            {
                entered = double.IsNaN(entered) ? at : entered;
                left = double.NaN;
            }
        }

        void Leave(double at)
        {
            if (!double.IsNaN(at) && !double.IsNaN(entered))
            {
                left = at;
                longest = Math.Max(longest, left - entered);
            }
        }

        void Split(double value)
        {
            if (value <= level - hysteresis && !double.IsNaN(left))
            {
                entered = left = double.NaN;
            }
        }
    }

    private static Outcome Close(in CurveView c, double level, double low, double high, bool reached)
    {
        if (c.Count == 0)
        {
            return Outcome.Missing(FigureReasons.NoChannel);
        }

        // At the level at an end, not above it: nothing can be missing that adds to the sum at once.
        if (c[0] > level || c[c.Count - 1] > level)
        {
            return Outcome.Between(low, double.PositiveInfinity, FigureReasons.Truncated);
        }

        return high > low ? Outcome.Between(low, high, FigureReasons.Gap) : reached ? Outcome.Known(low) : Outcome.NothingToSum;
    }

    private static double InSegment(double length, double v1, double v2, double level) => (v1 >= level, v2 >= level) switch
    {
        (true, true) => length,
        (false, false) => 0,
        (true, false) => (v1 - level) / (v1 - v2) * length,
        (false, true) => (v2 - level) / (v2 - v1) * length,
    };

    private static double LeastInGap(double length, double v1, double v2, double level) =>
        Math.Min(length, (Math.Max(0, v1 - level) + Math.Max(0, v2 - level)) / R);

    private static double MostInGap(double length, double v1, double v2, double level) =>
        Math.Max(0, length - (Math.Max(0, level - v1) / R) - (Math.Max(0, level - v2) / R));
}
