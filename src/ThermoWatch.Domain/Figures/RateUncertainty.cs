namespace ThermoWatch.Domain.Figures;

/// <summary>A mean rate: a difference of two levels, which is exact, over the time between their crossings, which is not.</summary>
/// <param name="From">First crossing.</param>
/// <param name="FromLevel">Its level, °C.</param>
/// <param name="To">Second crossing.</param>
/// <param name="ToLevel">Its level, °C.</param>
internal readonly record struct RateUncertainty(Crossing From, double FromLevel, Crossing To, double ToLevel)
{
    private const double Handled = 40;
    private const double AroundLiquidus = 10;
    private const double Drop = 50;

    /// <summary>Time between the crossings, s.</summary>
    public double Seconds => To.Seconds - From.Seconds;

    /// <summary>
    /// The crossings of a rate, so that u(rate) = rate / t · u(t); null for figures that are none, or that begin at a reading
    /// instead of a crossing. J-STD-020's ramps lean on the peak itself, and regressions on noise that no spec states: no formula.
    /// </summary>
    public static RateUncertainty? Between(FigureKind kind, in CurveView c, ChannelFigures figures, in ChannelLevels levels) => kind switch
    {
        FigureKind.PreheatRate when c[0] < Handled => new(Crossings.SettledRising(c, Handled), Handled, figures.SoakStart, levels.SoakFrom),
        FigureKind.HeatingRate when levels is { SoakTo: { } soak, Liquidus: { } liquidus } =>
            new(Crossings.SettledRising(c, soak), soak, figures.LiquidusRising, liquidus),
        FigureKind.SlopeAtLiquidus when levels.Liquidus is { } liquidus => new(
            Crossings.SettledRising(c, liquidus - AroundLiquidus), liquidus - AroundLiquidus,
            Crossings.SettledRising(c, liquidus + AroundLiquidus), liquidus + AroundLiquidus),
        FigureKind.CoolingRate when levels.Liquidus is { } liquidus => new(
            figures.LiquidusFalling, liquidus, Crossings.FirstFallingFrom(c, figures.LiquidusFalling.Segment, liquidus - Drop), liquidus - Drop),
        _ => null,
    };
}
