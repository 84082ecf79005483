namespace ThermoWatch.Domain.Runs;

/// <summary>A figure of one run, and what its instrument is sure of.</summary>
/// <param name="Value">The figure.</param>
/// <param name="U">Expanded uncertainty, in its unit; 0 where it is not known.</param>
internal readonly record struct ComparedFigure(double Value, double U);

/// <summary>
/// How far a figure of a good run may lie from the others by chance: learnt from the released runs, each held against the rest.
/// </summary>
/// <remarks>
/// A run is compared by a dozen figures and more, with a band that a few released runs have drawn. Of normal figures in bands of three spreads
/// by 31 runs, every sixth good run has one outside; by five runs, seven of eight. So the greatest distance of each released run from the
/// others is itself taken as a figure of good runs, with a band by the same rule: then it is one good run in thirty, and one in nine.
/// </remarks>
internal static class UsualDistance
{
    /// <summary>A band reaches this many robust spreads to each side.</summary>
    public const double Spreads = 3;

    /// <summary>The newest so many released runs show what is usual; more would say the same.</summary>
    private const int Most = 60;

    /// <summary>Middle and half width of the band that some values draw.</summary>
    /// <param name="values">At least one value.</param>
    /// <param name="uncertainty">The band is not narrower than this to each side.</param>
    public static (double Median, double Half) Band(ReadOnlySpan<double> values, double uncertainty)
    {
        double[] sorted = values.ToArray();
        Array.Sort(sorted);
        double median = Median.OfSorted(sorted);
        for (int i = 0; i < sorted.Length; i++)
        {
            sorted[i] = Math.Abs(sorted[i] - median);
        }

        Array.Sort(sorted);
        return (median, Math.Max(Spreads * ProductionComparison.RobustSpread * Median.OfSorted(sorted), uncertainty));
    }

    /// <summary>Distance of a value from a band's middle, in thirds of the band's half; infinite beside a band without width.</summary>
    public static double Of(double value, double median, double half) =>
        value == median ? 0 : half > 0 ? Spreads * Math.Abs(value - median) / half : double.PositiveInfinity;

    /// <summary>The greatest distance that chance explains; never less than the band itself.</summary>
    /// <param name="released">Each released run's figures in one order, the newest run last; null where a figure does not count.</param>
    public static double Greatest(IReadOnlyList<ComparedFigure?[]> released)
    {
        List<double> greatest = [];
        for (int run = Math.Max(0, released.Count - Most); run < released.Count; run++)
        {
            double most = double.NegativeInfinity;
            for (int figure = 0; figure < released[run].Length; figure++)
            {
                if (released[run][figure] is { } mine && Others(released, run, figure) is { Length: >= ProductionComparison.FewestRuns - 1 } others)
                {
                    (double median, double half) = Band(others, mine.U);
                    double distance = Of(mine.Value, median, half);
                    most = double.IsFinite(distance) ? Math.Max(most, distance) : most; // beside a band without width anything is far: that says nothing
                }
            }

            if (double.IsFinite(most))
            {
                greatest.Add(most);
            }
        }

        if (greatest.Count < ProductionComparison.FewestRuns)
        {
            return Spreads;
        }

        (double middle, double width) = Band([.. greatest], 0);
        return Math.Max(Spreads, middle + width);
    }

    private static double[] Others(IReadOnlyList<ComparedFigure?[]> released, int run, int figure)
    {
        var others = new List<double>(released.Count);
        for (int i = Math.Max(0, released.Count - Most); i < released.Count; i++)
        {
            if (i != run && released[i][figure] is { } other)
            {
                others.Add(other.Value);
            }
        }

        return [.. others];
    }
}
