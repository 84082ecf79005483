using System.Numerics;

namespace ThermoWatch.Domain.Figures;

/// <summary>Searches through the values of a curve, several at once. Values are never NaN.</summary>
internal static class Find
{
    /// <summary>Index of the first value at or above a level, from an index on; -1 if there is none.</summary>
    public static int AtOrAbove(ReadOnlySpan<double> values, double level, int from = 0)
    {
        int i = from;
        if (values.Length - i >= Vector<double>.Count)
        {
            var wanted = new Vector<double>(level);
            for (; i <= values.Length - Vector<double>.Count; i += Vector<double>.Count)
            {
                if (Vector.GreaterThanOrEqualAny(new Vector<double>(values[i..]), wanted))
                {
                    break;
                }
            }
        }

        for (; i < values.Length; i++)
        {
            if (values[i] >= level)
            {
                return i;
            }
        }

        return -1;
    }

    /// <summary>Index of the first value below a level, from an index on; -1 if there is none.</summary>
    public static int Below(ReadOnlySpan<double> values, double level, int from = 0)
    {
        int i = from;
        if (values.Length - i >= Vector<double>.Count)
        {
            var wanted = new Vector<double>(level);
            for (; i <= values.Length - Vector<double>.Count; i += Vector<double>.Count)
            {
                if (Vector.LessThanAny(new Vector<double>(values[i..]), wanted))
                {
                    break;
                }
            }
        }

        for (; i < values.Length; i++)
        {
            if (values[i] < level)
            {
                return i;
            }
        }

        return -1;
    }

    /// <summary>Index of the last value at or above a level; -1 if there is none.</summary>
    public static int LastAtOrAbove(ReadOnlySpan<double> values, double level)
    {
        int end = values.Length;
        var wanted = new Vector<double>(level);
        while (end >= Vector<double>.Count && !Vector.GreaterThanOrEqualAny(new Vector<double>(values[(end - Vector<double>.Count)..]), wanted))
        {
            end -= Vector<double>.Count;
        }

        for (int i = end - 1; i >= 0; i--)
        {
            if (values[i] >= level)
            {
                return i;
            }
        }

        return -1;
    }

    /// <summary>Index of the largest value, the first of equals; -1 if there is none.</summary>
    public static int Highest(ReadOnlySpan<double> values)
    {
        double highest = double.NegativeInfinity;
        int i = 0;
        if (values.Length >= Vector<double>.Count)
        {
            var most = new Vector<double>(values);
            for (i = Vector<double>.Count; i <= values.Length - Vector<double>.Count; i += Vector<double>.Count)
            {
                most = Vector.Max(most, new Vector<double>(values[i..]));
            }

            for (int lane = 0; lane < Vector<double>.Count; lane++)
            {
                highest = Math.Max(highest, most[lane]);
            }
        }

        for (; i < values.Length; i++)
        {
            highest = Math.Max(highest, values[i]);
        }

        return AtOrAbove(values, highest);
    }
}
