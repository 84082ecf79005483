using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Instruments;

/// <summary>How a gauge's signal depends on pressure.</summary>
public enum GaugeLaw
{
    /// <summary>Capacitive, signal proportional to pressure.</summary>
    Linear,

    /// <summary>Wide range, 0.6 V per decade: p = 10^((U - 6.8)/0.6) mbar.</summary>
    Logarithmic,
}

/// <summary>The chamber's pressure gauge.</summary>
internal sealed class PressureGauge(GaugeLaw law, bool ideal)
{
    private const double FullScaleMbar = 1100;
    private const double LinearNoiseMbar = 0.015;
    private const double LinearStepMbar = 0.01;
    private const double LogNoiseVolts = 0.001;
    private const double LogStepVolts = 0.0005;
    private const double BelowLiveZeroMbar = -137.5; // 2 mA on a 4 to 20 mA loop over 0..1100 mbar

    /// <summary>Pressure as the gauge gives it, mbar; NaN: no value.</summary>
    public double Sample(double mbar, ActiveFaults faults, Randomness noise)
    {
        double random = noise.Normal();
        if (faults.Find(FaultKind.GaugeDead) is not null)
        {
            return double.NaN;
        }

        if (faults.Find(FaultKind.GaugeBelowZero) is not null)
        {
            return BelowLiveZeroMbar;
        }

        double seen = mbar * (1 + faults.Amount(FaultKind.GaugeDrift, 0));
        if (ideal)
        {
            return seen;
        }

        return law == GaugeLaw.Linear ? Linear(seen, random) : FromVolts(Quantised(Volts(seen) + (LogNoiseVolts * random)));
    }

    /// <summary>Signal of the logarithmic gauge, V; clamped to its measuring range 1.82 to 8.6 V.</summary>
    public static double Volts(double mbar) => Math.Clamp(6.8 + (0.6 * Math.Log10(mbar)), 1.82, 8.6);

    /// <summary>Pressure in mbar of the logarithmic gauge's signal.</summary>
    public static double FromVolts(double volts) => Math.Pow(10, (volts - 6.8) / 0.6);

    private static double Linear(double mbar, double random)
    {
        double noisy = mbar + (random * (LinearNoiseMbar + (0.00005 * mbar)));
        return Math.Min(FullScaleMbar, Math.Round(noisy / LinearStepMbar) * LinearStepMbar);
    }

    private static double Quantised(double volts) => Math.Round(volts / LogStepVolts) * LogStepVolts;
}
