using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Figures;

/// <summary>Standard uncertainty of one temperature, from what is known of the measurement chain (GUM, root sum of squares).</summary>
internal static class ChainUncertainty
{
    /// <summary>U = k u; k = 2 covers about 95 %.</summary>
    public const double Coverage = 2;

    /// <summary>Whole standard uncertainty, K.</summary>
    /// <param name="chain">The chain.</param>
    /// <param name="celsius">The temperature, °C.</param>
    public static double Of(MeasurementChain chain, double celsius) => Root(Common(chain, celsius), Own(chain));

    /// <summary>The part that channels of one spool, one cable and one instrument share, K.</summary>
    /// <remarks>
    /// Tolerances of type K: IEC 60584-1, class 1 max(1.5, 0.004 |t|), class 2 max(2.5, 0.0075 |t|); extension KX:
    /// IEC 60584-3, class 1 1.5 K, class 2 2.5 K. Half widths are taken as rectangular.
    /// </remarks>
    public static double Common(MeasurementChain chain, double celsius)
    {
        double tolerance = chain.Class == 1 ? Math.Max(1.5, 0.004 * Math.Abs(celsius)) : Math.Max(2.5, 0.0075 * Math.Abs(celsius));
        double extension = chain.Extension switch { 1 => 1.5, 2 => 2.5, _ => 0 };
        return Root(tolerance, extension, chain.ColdJunctionKelvin, chain.InstrumentKelvin) / Math.Sqrt(3);
    }

    /// <summary>The part that each channel has for itself, K.</summary>
    public static double Own(MeasurementChain chain) => Root(chain.ResolutionKelvin / Math.Sqrt(12), chain.AttachmentKelvin ?? 0);

    /// <summary>Root sum of squares.</summary>
    public static double Root(params ReadOnlySpan<double> parts)
    {
        double sum = 0;
        foreach (double part in parts)
        {
            sum += part * part;
        }

        return Math.Sqrt(sum);
    }
}
