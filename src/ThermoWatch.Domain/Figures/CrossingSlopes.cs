using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>Slopes at crossings, and what they make of an uncertain temperature.</summary>
internal static class CrossingSlopes
{
    private const double HalfWindow = 2.5;

    /// <summary>Least-squares slope over 2.5 s to both sides, K/s; that of the segment where readings are too few.</summary>
    public static double At(in CurveView c, double seconds)
    {
        int last = c.IndexAtOrBefore(seconds);
        int from = last;
        while (from > 0 && c.Seconds(from - 1) >= seconds - HalfWindow)
        {
            from--;
        }

        var fit = new LineFit(seconds, c[Math.Max(0, last)]);
        for (int i = Math.Max(0, from); i < c.Count && c.Seconds(i) <= seconds + HalfWindow; i++)
        {
            if (c.Seconds(i) >= seconds - HalfWindow)
            {
                fit.Add(c.Seconds(i), c[i]);
            }
        }

        if (fit.Count >= 3)
        {
            return fit.Slope;
        }

        int segment = Math.Clamp(last, 0, c.Count - 2);
        return (c[segment + 1] - c[segment]) / c.Length(segment);
    }

    /// <summary>Seconds that a time above a level changes by when every reading is one kelvin higher, and its number of ends.</summary>
    public static (double SecondsPerKelvin, int Ends) OfTimeAbove(in CurveView c, double level)
    {
        (double sum, int ends) = (0, 0);
        for (int i = 0; i < c.Count - 1; i++)
        {
            if ((c[i] >= level) != (c[i + 1] >= level) && !c.IsGap(i))
            {
                // A higher reading comes earlier on the way up and goes later on the way down: signed slopes add it up.
                double slope = At(c, c.TimeAt(i, level));
                sum += (c[i] < level ? 1 : -1) / slope;
                ends++;
            }
        }

        return (sum, ends);
    }

    /// <summary>Standard uncertainty that reading in steps of time adds, for a number of ends, s.</summary>
    public static double OfSampling(long nominalTicks, int ends) =>
        nominalTicks / (double)Timestamp.TicksPerSecond / 2 / Math.Sqrt(3) * Math.Sqrt(ends);
}
