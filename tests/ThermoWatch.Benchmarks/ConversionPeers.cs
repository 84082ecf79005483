namespace ThermoWatch.Benchmarks;

/// <summary>Type K as it is usually programmed, for comparison; written for this purpose and independent of the product's code.</summary>
/// <remarks>Coefficients: NIST ITS-90 Thermocouple Database (SRD 60), type K.</remarks>
internal static class ConversionPeers
{
    private const double A0 = 0.1185976;
    private const double A1 = -0.1183432E-03;
    private const double A2 = 126.9686;

    private static readonly double[] Below =
    [
        0, 0.394501280250E-01, 0.236223735980E-04, -0.328589067840E-06, -0.499048287770E-08, -0.675090591730E-10,
        -0.574103274280E-12, -0.310888728940E-14, -0.104516093650E-16, -0.198892668780E-19, -0.163226974860E-22,
    ];

    private static readonly double[] Above =
    [
        -0.176004136860E-01, 0.389212049750E-01, 0.185587700320E-04, -0.994575928740E-07, 0.318409457190E-09,
        -0.560728448890E-12, 0.560750590590E-15, -0.320207200030E-18, 0.971511471520E-22, -0.121047212750E-25,
    ];

    private static readonly double[] InverseBelow =
    [
        0, 2.5173462E+01, -1.1662878E+00, -1.0833638E+00, -8.9773540E-01, -3.7342377E-01, -8.6632643E-02, -1.0450598E-02, -5.1920577E-04,
    ];

    private static readonly double[] InverseMiddle =
    [
        0, 2.508355E+01, 7.860106E-02, -2.503131E-01, 8.315270E-02, -1.228034E-02, 9.804036E-04, -4.413030E-05, 1.057734E-06, -1.052755E-08,
    ];

    private static readonly double[] InverseAbove =
    [
        -1.318058E+02, 4.830222E+01, -1.646031E+00, 5.464731E-02, -9.650715E-04, 8.802193E-06, -3.110810E-08,
    ];

    /// <summary>Reference function by Horner's rule.</summary>
    public static double Forward(double t) => t <= 0 ? Horner(Below, t) : Horner(Above, t) + (A0 * Math.Exp(A1 * (t - A2) * (t - A2)));

    /// <summary>The published inverse polynomial alone.</summary>
    /// <remarks>Written out, as a loop over an array would be slower: a peer should be at its best.</remarks>
    public static double PublishedInverse(double e) => e switch
    {
        <= 0 => e * (2.5173462E+01 + (e * (-1.1662878 + (e * (-1.0833638 + (e * (-8.9773540E-01
            + (e * (-3.7342377E-01 + (e * (-8.6632643E-02 + (e * (-1.0450598E-02 + (e * -5.1920577E-04)))))))))))))),
        <= 20.644 => e * (2.508355E+01 + (e * (7.860106E-02 + (e * (-2.503131E-01 + (e * (8.315270E-02
            + (e * (-1.228034E-02 + (e * (9.804036E-04 + (e * (-4.413030E-05 + (e * (1.057734E-06 + (e * -1.052755E-08)))))))))))))))),
        _ => -1.318058E+02 + (e * (4.830222E+01 + (e * (-1.646031 + (e * (5.464731E-02
            + (e * (-9.650715E-04 + (e * (8.802193E-06 + (e * -3.110810E-08))))))))))),
    };

    /// <summary>The published inverse polynomial and one Newton step on the reference function.</summary>
    public static double InverseAndNewton(double e)
    {
        double t = PublishedInverse(e);
        double[] c = e <= 0 ? Below : Above;
        double value = 0;
        double slope = 0;
        for (int i = c.Length - 1; i >= 0; i--)
        {
            slope = (slope * t) + value;
            value = (value * t) + c[i];
        }

        if (e > 0)
        {
            double bump = A0 * Math.Exp(A1 * (t - A2) * (t - A2));
            value += bump;
            slope += 2 * A1 * (t - A2) * bump;
        }

        return t - ((value - e) / slope);
    }

    /// <summary>Reference function as a sum of powers, as it stands in the standard.</summary>
    public static double ForwardByPowers(double t)
    {
        double sum = Powers(t <= 0 ? Below : Above, t);
        return t <= 0 ? sum : sum + (A0 * Math.Exp(A1 * Math.Pow(t - A2, 2)));
    }

    /// <summary>Inverse and one Newton step, all as sums of powers.</summary>
    public static double InverseAndNewtonByPowers(double e)
    {
        double t = Powers(InverseCoefficients(e), e);
        double[] c = e <= 0 ? Below : Above;
        double slope = 0;
        for (int i = 1; i < c.Length; i++) slope += i * c[i] * Math.Pow(t, i - 1);
        double value = Powers(c, t);
        if (e > 0)
        {
            double bump = A0 * Math.Exp(A1 * Math.Pow(t - A2, 2));
            value += bump;
            slope += 2 * A1 * (t - A2) * bump;
        }

        return t - ((value - e) / slope);
    }

    /// <summary>Root of the reference function by halving an interval sixty times: slow, and beyond doubt.</summary>
    public static double Bisection(double e)
    {
        double low = e <= 0 ? -270 : 0;
        double high = e <= 0 ? 0 : 1400;
        for (int i = 0; i < 60; i++)
        {
            double middle = 0.5 * (low + high);
            if (Forward(middle) < e) low = middle; else high = middle;
        }

        return 0.5 * (low + high);
    }

    private static double[] InverseCoefficients(double e) => e <= 0 ? InverseBelow : e <= 20.644 ? InverseMiddle : InverseAbove;

    private static double Horner(double[] c, double x)
    {
        double sum = 0;
        for (int i = c.Length - 1; i >= 0; i--) sum = (sum * x) + c[i];
        return sum;
    }

    private static double Powers(double[] c, double x)
    {
        double sum = 0;
        for (int i = 0; i < c.Length; i++) sum += c[i] * Math.Pow(x, i);
        return sum;
    }
}
