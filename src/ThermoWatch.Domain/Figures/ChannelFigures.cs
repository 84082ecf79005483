namespace ThermoWatch.Domain.Figures;

/// <summary>What the figures of one product channel depend on beside its curve.</summary>
/// <param name="Liquidus">Liquidus of the channel's alloy, °C; null while no spec says which alloy it is.</param>
/// <param name="SoakFrom">°C; 150 where the spec names no soak.</param>
/// <param name="SoakTo">°C; null where the spec names no soak.</param>
/// <param name="Classification">Classification temperature, °C; null: the channel's own peak.</param>
/// <param name="SlopeWindowSeconds">Window of the steepest slopes, s.</param>
internal readonly record struct ChannelLevels(
    double? Liquidus, double SoakFrom, double? SoakTo, double? Classification, double SlopeWindowSeconds)
{
    /// <summary>Soak start where a rule needs one and the spec has none, °C.</summary>
    public const double DefaultSoakFrom = 150;
}

/// <summary>The figures of one product channel, and the events that carrier and vacuum figures need.</summary>
internal sealed class ChannelFigures
{
    private readonly Outcome[] _outcomes = new Outcome[FigureCatalog.ChannelFigures];

    private ChannelFigures(int channel) => Channel = channel;

    /// <summary>Index of the channel in the cell.</summary>
    public int Channel { get; }

    /// <summary>Settled rising crossing of the soak's start.</summary>
    public Crossing SoakStart { get; private set; }

    /// <summary>Settled rising crossing of the liquidus.</summary>
    public Crossing LiquidusRising { get; private set; }

    /// <summary>Last exact falling crossing of the liquidus.</summary>
    public Crossing LiquidusFalling { get; private set; }

    /// <summary>First exact rising crossing of the peak less 1 K.</summary>
    public Crossing PeakEntry { get; private set; }

    public Outcome this[FigureKind figure] => _outcomes[(int)figure];

    public static ChannelFigures Of(int channel, in CurveView c, in ChannelLevels levels)
    {
        var result = new ChannelFigures(channel);
        if (c.Count == 0)
        {
            Array.Fill(result._outcomes, Outcome.Missing(FigureReasons.NoChannel));
            result.SoakStart = result.LiquidusRising = result.LiquidusFalling = result.PeakEntry = Crossing.Truncated;
            return result;
        }

        result.Compute(c, levels);
        return result;
    }

    private void Compute(in CurveView c, in ChannelLevels levels)
    {
        int top = Peaks.IndexOfHighest(c);
        double peak = c[top];
        Outcome peakOutcome = Peaks.Highest(c, top);
        SoakStart = Crossings.SettledRising(c, levels.SoakFrom);
        PeakEntry = peakOutcome.HasValue ? Crossings.FirstRisingOrStart(c, peak - 1) : Crossing.InGap;

        Array.Fill(_outcomes, Outcome.Missing(FigureReasons.NotDefined));
        Set(FigureKind.PeakTemperature, peakOutcome);
        Set(FigureKind.SustainedPeak, Peaks.Sustained(c));
        Set(FigureKind.TimeNearPeak, NearPeak(c, peakOutcome, levels.Classification));
        Set(FigureKind.SteepestHeating, Steepest(c, 0, top, levels.SlopeWindowSeconds, 1));
        Set(FigureKind.SteepestCooling, Steepest(c, top, c.Count - 1, levels.SlopeWindowSeconds, -1));
        Set(FigureKind.TimeToPeak, Duration(StartOrSettled(c, 25), PeakEntry));
        Set(FigureKind.PreheatRate, PreheatRate(c, levels.SoakFrom));
        Crossing soakEnd = levels.SoakTo is { } soakTo ? Crossings.SettledRising(c, soakTo) : Crossing.Never;
        if (levels.SoakTo is not null)
        {
            Set(FigureKind.SoakTime, Duration(SoakStart, soakEnd));
        }

        if (levels.Liquidus is not { } liquidus)
        {
            LiquidusRising = LiquidusFalling = Crossing.Never;
            return;
        }

        LiquidusRising = Crossings.SettledRising(c, liquidus);
        LiquidusFalling = peak >= liquidus ? Crossings.LastFalling(c, liquidus) : NotReachedUnlessHidden(peakOutcome, liquidus);
        Set(FigureKind.TimeAboveLiquidus, LevelSums.TimeAbove(c, liquidus));
        Set(FigureKind.LongestAboveLiquidus, LevelSums.LongestAbove(c, liquidus));
        Set(FigureKind.HeatAboveLiquidus, LevelSums.HeatAbove(c, liquidus));
        Set(FigureKind.SlopeAtLiquidus, Rate(
            20, Crossings.SettledRising(c, liquidus - 10), Crossings.SettledRising(c, liquidus + 10)));
        Set(FigureKind.CoolingRate, CoolingRate(c, liquidus));
        if (levels.SoakTo < liquidus)
        {
            Set(FigureKind.HeatingRate, Rate(liquidus - levels.SoakTo.Value, soakEnd, LiquidusRising));
        }

        SetRamps(c, liquidus, peak);
    }

    private void SetRamps(in CurveView c, double liquidus, double peak)
    {
        bool known = this[FigureKind.PeakTemperature].HasValue;
        Crossing peakExit = known ? Crossings.LastFalling(c, peak - 1) : Crossing.InGap;
        bool reaches = peak > liquidus + 1;
        Outcome missing = Outcome.Missing(known ? FigureReasons.NeverReached : FigureReasons.Gap);
        Set(FigureKind.RampUpRate, reaches ? Rate(peak - 1 - liquidus, LiquidusRising, PeakEntry) : missing);
        Set(FigureKind.RampDownRate, reaches ? Rate(peak - 1 - liquidus, peakExit, LiquidusFalling) : missing);
    }

    private Outcome CoolingRate(in CurveView c, double liquidus)
    {
        const double Drop = 50;
        return LiquidusFalling.Found
            ? Rate(Drop, LiquidusFalling, Crossings.FirstFallingFrom(c, LiquidusFalling.Segment, liquidus - Drop))
            : Outcome.Missing(LiquidusFalling.Reason);
    }

    private Outcome PreheatRate(in CurveView c, double soakFrom)
    {
        const double Handled = 40;
        if (c[0] >= soakFrom)
        {
            return Outcome.Missing(FigureReasons.Truncated);
        }

        double from = Math.Max(c[0], Handled);
        return Rate(soakFrom - from, StartOrSettled(c, Handled), SoakStart);
    }

    private static Crossing StartOrSettled(in CurveView c, double level) =>
        c[0] >= level ? Crossing.At(c.Seconds(0), -1) : Crossings.SettledRising(c, level);

    private static Crossing NotReachedUnlessHidden(in Outcome peak, double level) =>
        peak.High >= level ? Crossing.InGap : Crossing.Never;

    private static Outcome NearPeak(in CurveView c, in Outcome peak, double? classification)
    {
        const double Near = 5;
        if (classification is { } reference)
        {
            return LevelSums.TimeAbove(c, reference - Near);
        }

        Outcome least = LevelSums.TimeAbove(c, peak.High - Near);
        Outcome most = peak.HasValue ? least : LevelSums.TimeAbove(c, peak.Low - Near);
        return peak.HasValue ? least : Outcome.Between(least.Low, most.High, most.Reason ?? FigureReasons.Gap);
    }

    private static Outcome Steepest(in CurveView c, int first, int last, double windowSeconds, int sign)
    {
        double found = Slopes.Steepest(c, first, last, new SlopeWindow(windowSeconds, 5, Extend: false), sign);
        if (c.HasGap(first, last))
        {
            double low = double.IsNaN(found) ? double.NegativeInfinity : found;
            return Outcome.Between(low, Math.Max(low, CurveView.FastestChange), FigureReasons.Gap);
        }

        return double.IsNaN(found) ? Outcome.Missing(FigureReasons.NotDefined) : Outcome.Known(found);
    }

    private static Outcome Duration(in Crossing from, in Crossing to) => Both(from, to) ?? Outcome.Known(to.Seconds - from.Seconds, Note(from, to));

    private static Outcome Rate(double kelvin, in Crossing from, in Crossing to) =>
        Both(from, to) ?? Outcome.Known(kelvin / (to.Seconds - from.Seconds), Note(from, to));

    /// <summary>The outcome if an event is missing: what is not known outweighs what did not happen before it could.</summary>
    private static Outcome? Both(in Crossing from, in Crossing to)
    {
        if (from.Found && to.Found)
        {
            return null;
        }

        bool never = from.Kind == CrossingKind.Never || to.Kind == CrossingKind.Never;
        return Outcome.Missing(never ? FigureReasons.NeverReached : from.Found ? to.Reason : from.Reason);
    }

    private static string? Note(in Crossing from, in Crossing to) => from.Marginal || to.Marginal ? Outcome.Marginal : null;

    private void Set(FigureKind figure, Outcome outcome) => _outcomes[(int)figure] = outcome;
}
