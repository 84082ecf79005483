namespace ThermoWatch.Domain.Thermocouples;

/// <summary>The reference function of one thermocouple type, and its exact root.</summary>
internal sealed class ReferenceFunction(ReferencePiece[] pieces)
{
    /// <summary>Bisection alone needs 52 steps to exhaust a double; a step that is not Newton's is one of those.</summary>
    private const int MostSteps = 100;

    public IReadOnlyList<ReferencePiece> Pieces => pieces;

    public double LowestCelsius => pieces[0].LowCelsius;

    public double HighestCelsius => pieces[^1].HighCelsius;

    /// <summary>EMF in mV against a reference junction at 0 °C. Outside the range the end pieces are continued.</summary>
    public double MillivoltsAt(double celsius) => PieceAt(celsius).MillivoltsAt(celsius);

    /// <summary>Seebeck coefficient in mV/K.</summary>
    public double SlopeAt(double celsius) => PieceAt(celsius).SlopeAt(celsius);

    /// <summary>The temperature at which the function has this value, to the resolution of a double.</summary>
    /// <remarks>
    /// The published pieces do not meet exactly. A value in the step between two pieces (at most 7.5e-8 mV, type J at 760 °C)
    /// gives the temperature of the join; where they overlap (type B, 2e-9 mV) the colder piece answers.
    /// </remarks>
    /// <param name="millivolts">Within the function's values from <paramref name="lowestCelsius"/> to its end.</param>
    /// <param name="lowestCelsius">Where the search begins; the function rises from there on.</param>
    public double CelsiusAt(double millivolts, double lowestCelsius)
    {
        int i = 0;
        while (i < pieces.Length - 1 && (pieces[i].HighCelsius <= lowestCelsius || millivolts > pieces[i].MillivoltsAt(pieces[i].HighCelsius)))
        {
            i++;
        }

        return Root(pieces[i], millivolts, Math.Max(lowestCelsius, pieces[i].LowCelsius), pieces[i].HighCelsius);
    }

    /// <summary>Newton's steps, kept inside a bracket that bisection shrinks whenever one would leave it.</summary>
    private static double Root(ReferencePiece piece, double millivolts, double low, double high)
    {
        double atLow = piece.MillivoltsAt(low) - millivolts;
        double atHigh = piece.MillivoltsAt(high) - millivolts;
        if (atLow >= 0) return low;
        if (atHigh <= 0) return high;

        double celsius = low + ((high - low) * (atLow / (atLow - atHigh)));
        for (int step = 0; step < MostSteps; step++)
        {
            double excess = piece.MillivoltsAt(celsius) - millivolts;
            if (excess == 0) return celsius;
            if (excess < 0) low = celsius; else high = celsius;

            double next = celsius - (excess / piece.SlopeAt(celsius));
            if (!(next > low && next < high)) next = low + (0.5 * (high - low));
            if (next == celsius || next <= low || next >= high) return next;
            celsius = next;
        }

        return celsius;
    }

    private ReferencePiece PieceAt(double celsius)
    {
        for (int i = 0; i < pieces.Length - 1; i++)
        {
            if (celsius <= pieces[i].HighCelsius) return pieces[i];
        }

        return pieces[^1];
    }
}
