using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Simulator.Instruments;

/// <summary>Temperature from EMF, as an instrument does that linearises by itself: the root of the reference function.</summary>
internal static class Linearisation
{
    private const double Coldest = -200, Hottest = 1372; // where the inverse is defined, degC
    private const double Precision = 1e-7;
    private const int Patience = 50;

    /// <summary>Temperature in degC of a type K junction, held to -200 to 1372; NaN for an open input.</summary>
    /// <param name="millivolts">EMF against 0 degC.</param>
    /// <param name="guess">A temperature near the answer, degC: the last one of a curve is best.</param>
    public static double HotJunction(double millivolts, double guess)
    {
        if (double.IsNaN(millivolts))
        {
            return double.NaN;
        }

        // Secant steps: the function is nearly straight, so two or three are enough anywhere in range.
        double t0 = Math.Clamp(double.IsNaN(guess) ? 100 : guess, Coldest + 1, Hottest - 1), e0 = TypeK.MillivoltsAt(t0);
        double slope = t0 < 0 ? 0.035 : 0.040;
        for (int i = 0; i < Patience; i++)
        {
            double t1 = Math.Clamp(t0 + ((millivolts - e0) / slope), Coldest, Hottest);
            if (Math.Abs(t1 - t0) < Precision)
            {
                return t1;
            }

            double e1 = TypeK.MillivoltsAt(t1);
            slope = Math.Max((e1 - e0) / (t1 - t0), 0.010);
            (t0, e0) = (t1, e1);
        }

        return t0;
    }
}
