namespace ThermoWatch.Domain.Thermocouples;

/// <summary>The two tables of a type: temperature over EMF, and EMF over the temperatures that terminals have.</summary>
/// <param name="Inverse">mV to °C.</param>
/// <param name="Forward">°C to mV.</param>
internal sealed record ThermocoupleTables(CubicTable Inverse, CubicTable Forward)
{
    private const double ForwardFromCelsius = -64;
    private const double ForwardToCelsius = 128;
    private const double ForwardCellsPerKelvin = 2;

    public static ThermocoupleTables Build(char letter, ReferenceFunction function, double inverseFromCelsius) =>
        new(BuildInverse(letter, function, inverseFromCelsius), BuildForward(function));

    /// <summary>Where the inverse table begins and how fine it is: the measured error stays below 1e-6 K, mostly by far.</summary>
    private static (double FromCelsius, double CellsPerMillivolt) GridOf(char letter) => letter switch
    {
        'B' => (250, 512),
        'R' or 'S' => (-50, 256),
        'J' => (-210, 64),
        'N' => (-201, 128),
        _ => (-201, 64),
    };

    private static CubicTable BuildInverse(char letter, ReferenceFunction function, double inverseFromCelsius)
    {
        (double fromCelsius, double cellsPerMillivolt) = GridOf(letter);

        // Nodes are whole multiples of the step, so that the join of the pieces at 0 mV is one.
        double first = Math.Ceiling(function.MillivoltsAt(fromCelsius) * cellsPerMillivolt);
        double last = Math.Floor(function.MillivoltsAt(function.HighestCelsius) * cellsPerMillivolt);
        double[] joins = [.. function.Pieces.SkipLast(1).Select(piece => piece.MillivoltsAt(piece.HighCelsius))];
        return new CubicTable(first / cellsPerMillivolt, cellsPerMillivolt, (int)(last - first), NodeAt, IsSmooth);

        (double Value, double Slope) NodeAt(double millivolts, CubicTable.Side side)
        {
            double celsius = function.CelsiusAt(millivolts, inverseFromCelsius);
            return (celsius, 1 / function.SlopeAt(Beside(celsius, side)));
        }

        bool IsSmooth(double from, double to) => !joins.Any(join => join > from && join < to);
    }

    private static CubicTable BuildForward(ReferenceFunction function)
    {
        double from = Math.Max(ForwardFromCelsius, function.LowestCelsius);
        return new CubicTable(
            from,
            ForwardCellsPerKelvin,
            (int)((ForwardToCelsius - from) * ForwardCellsPerKelvin),
            (celsius, side) => (function.MillivoltsAt(Beside(celsius, side)), function.SlopeAt(Beside(celsius, side))),
            isSmooth: (_, _) => true); // the only join in this stretch is 0 °C, a node
    }

    /// <summary>
    /// A node takes the piece of its own side: at 0 °C the slope of type N steps by 0.9 % and the EMF of type K by 2e-9 mV,
    /// which at -270 °C is 3e-6 K.
    /// </summary>
    private static double Beside(double celsius, CubicTable.Side side) =>
        side == CubicTable.Side.Above ? Math.BitIncrement(celsius) : celsius;
}
