namespace ThermoWatch.Domain.Figures;

/// <summary>How the search for a crossing came out.</summary>
internal enum CrossingKind
{
    /// <summary>Found.</summary>
    At,

    /// <summary>The curve never gets there.</summary>
    Never,

    /// <summary>It could lie in a gap.</summary>
    Gap,

    /// <summary>It could lie before the record's beginning or after its end.</summary>
    Truncated,
}

/// <summary>A crossing of a level, or why there is none.</summary>
/// <param name="Kind">How the search came out.</param>
/// <param name="Seconds">Time from the run's start; NaN unless found.</param>
/// <param name="Marginal">The level was reached, but never by the hysteresis.</param>
/// <param name="Segment">Reading before the crossing; -1 unless found inside a segment.</param>
internal readonly record struct Crossing(CrossingKind Kind, double Seconds, bool Marginal = false, int Segment = -1)
{
    public static readonly Crossing Never = new(CrossingKind.Never, double.NaN);
    public static readonly Crossing InGap = new(CrossingKind.Gap, double.NaN);
    public static readonly Crossing Truncated = new(CrossingKind.Truncated, double.NaN);

    public bool Found => Kind == CrossingKind.At;

    public static Crossing At(double seconds, int segment, bool marginal = false) => new(CrossingKind.At, seconds, marginal, segment);

    /// <summary>The outcome of a figure that needs this crossing and does not have it.</summary>
    public string Reason => Kind switch
    {
        CrossingKind.Never => FigureReasons.NeverReached,
        CrossingKind.Gap => FigureReasons.Gap,
        CrossingKind.Truncated => FigureReasons.Truncated,
        _ => throw new InvalidOperationException("A crossing that was found has no reason to be missing."),
    };
}

/// <summary>Searches for crossings of a level. At the level counts as above.</summary>
internal static class Crossings
{
    /// <summary>Hysteresis of temperature events, K.</summary>
    public const double TemperatureHysteresis = 1;

    /// <summary>
    /// The last exact rising crossing before the curve first reaches level + hysteresis; the first exact one if it
    /// never gets so far.
    /// </summary>
    public static Crossing SettledRising(in CurveView c, double level, double hysteresis = TemperatureHysteresis)
    {
        if (c.Count == 0 || c[0] >= level)
        {
            return Crossing.Truncated;
        }

        double top = level + hysteresis;
        if (c.IsWhole)
        {
            return SettledRisingOfWhole(c, level, top);
        }

        Crossing last = Crossing.Never;
        Crossing first = Crossing.Never;
        for (int i = 0; i < c.Count - 1; i++)
        {
            double v1 = c[i];
            double v2 = c[i + 1];
            if (c.IsGap(i))
            {
                double apex = c.Apex(i);
                bool stayedAbove = v1 >= level && c.Bottom(i) >= level;
                if (stayedAbove && v2 >= top)
                {
                    return last;
                }

                if (apex >= top)
                {
                    return Crossing.InGap;
                }

                if (apex >= level && first.Kind == CrossingKind.Never)
                {
                    first = Crossing.InGap;
                }

                if (v2 >= level && !stayedAbove)
                {
                    last = Crossing.InGap;
                }

                continue;
            }

            if (v1 < level && v2 >= level)
            {
                last = Crossing.At(c.TimeAt(i, level), i);
                if (first.Kind == CrossingKind.Never)
                {
                    first = last with { Marginal = true };
                }
            }

            if (v2 >= top)
            {
                return last;
            }
        }

        return first;
    }

    /// <summary>The same without gaps: to the settling, and back to the last reading below the level.</summary>
    private static Crossing SettledRisingOfWhole(in CurveView c, double level, double top)
    {
        ReadOnlySpan<double> values = c.Values;
        int settled = Find.AtOrAbove(values, top);
        if (settled < 0)
        {
            int reached = Find.AtOrAbove(values, level);
            return reached < 0 ? Crossing.Never : Crossing.At(c.TimeAt(reached - 1, level), reached - 1, marginal: true);
        }

        int below = settled - 1;
        while (values[below] >= level)
        {
            below--;
        }

        return Crossing.At(c.TimeAt(below, level), below);
    }

    /// <summary>The first exact rising crossing; the record's start if it begins at or above the level.</summary>
    public static Crossing FirstRisingOrStart(in CurveView c, double level)
    {
        if (c.Count == 0)
        {
            return Crossing.Truncated;
        }

        if (c[0] >= level)
        {
            return Crossing.At(c.Seconds(0), -1);
        }

        if (c.IsWhole)
        {
            int reached = Find.AtOrAbove(c.Values, level);
            return reached < 0 ? Crossing.Never : Crossing.At(c.TimeAt(reached - 1, level), reached - 1);
        }

        for (int i = 0; i < c.Count - 1; i++)
        {
            if (c.IsGap(i))
            {
                if (c.Apex(i) >= level)
                {
                    return Crossing.InGap;
                }
            }
            else if (c[i + 1] >= level)
            {
                return Crossing.At(c.TimeAt(i, level), i);
            }
        }

        return Crossing.Never;
    }

    /// <summary>The last exact falling crossing.</summary>
    public static Crossing LastFalling(in CurveView c, double level)
    {
        if (c.Count == 0 || c[c.Count - 1] >= level)
        {
            return Crossing.Truncated;
        }

        if (c.IsWhole)
        {
            int above = Find.LastAtOrAbove(c.Values, level);
            return above < 0 ? Crossing.Never : Crossing.At(c.TimeAt(above, level), above);
        }

        for (int i = c.Count - 2; i >= 0; i--)
        {
            if (c.IsGap(i))
            {
                if (c.Apex(i) >= level)
                {
                    return Crossing.InGap;
                }
            }
            else if (c[i] >= level)
            {
                return Crossing.At(c.TimeAt(i, level), i);
            }
        }

        return Crossing.Never;
    }

    /// <summary>The first exact falling crossing from a segment on in which the curve begins above the level.</summary>
    public static Crossing FirstFallingFrom(in CurveView c, int segment, double level)
    {
        if (c.IsWhole)
        {
            int below = Find.Below(c.Values, level, segment + 1);
            return below < 0 ? Crossing.Truncated : Crossing.At(c.TimeAt(below - 1, level), below - 1);
        }

        for (int i = segment; i < c.Count - 1; i++)
        {
            if (c.IsGap(i))
            {
                if (c.Bottom(i) < level)
                {
                    return Crossing.InGap;
                }
            }
            else if (c[i + 1] < level)
            {
                return Crossing.At(c.TimeAt(i, level), i);
            }
        }

        return Crossing.Truncated;
    }
}
