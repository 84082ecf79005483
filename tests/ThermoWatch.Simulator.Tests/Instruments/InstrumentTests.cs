using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Instruments;
using ThermoWatch.Simulator.Tests.Runs;

namespace ThermoWatch.Simulator.Tests.Instruments;

public class InstrumentTests
{
    // Gauge manual: reference/process/vacuum_examples.csv, sources named per row.
    [Theory]
    [InlineData("gauge_log_0V6_per_decade_1")]
    [InlineData("gauge_log_0V6_per_decade_2")]
    [InlineData("gauge_log_0V6_per_decade_3")]
    public void Logarithmic_gauge_follows_its_manual(string name)
    {
        (Func<string, double> input, double expected, double tolerance) = Reference.Example("process/vacuum_examples.csv", name);
        Assert.Equal(expected, PressureGauge.FromVolts(input("U_V")), tolerance);
        Assert.Equal(input("U_V"), PressureGauge.Volts(expected), 1e-9);
    }

    [Fact]
    public void Gauges_end_where_their_ranges_end()
    {
        Assert.InRange(Steady(GaugeLaw.Logarithmic, 1080), 990, 1015); // 8.6 V, and 1 mV of noise are 0.4 %
        Assert.Equal(PressureGauge.FromVolts(1.82), Steady(GaugeLaw.Logarithmic, 1e-12), 1e-10);
        Assert.Equal(1100, Steady(GaugeLaw.Linear, 1400), 0.001);
    }

    [Fact]
    public void Logarithmic_gauge_is_coarse_near_the_room_and_fine_in_vacuum_and_a_linear_one_the_other_way()
    {
        double Spread(GaugeLaw law, double mbar)
        {
            var gauge = new PressureGauge(law, ideal: false);
            var noise = new Randomness(3);
            double[] readings = [.. Enumerable.Range(0, 400).Select(_ => gauge.Sample(mbar, new ActiveFaults(), noise))];
            return Math.Sqrt(readings.Average(r => Math.Pow(r - mbar, 2)));
        }

        Assert.True(Spread(GaugeLaw.Logarithmic, 900) > 10 * Spread(GaugeLaw.Linear, 900));
        Assert.True(Spread(GaugeLaw.Logarithmic, 0.01) < 0.1 * Spread(GaugeLaw.Linear, 0.01));
    }

    [Fact]
    public void Terminals_warm_up_by_six_and_a_half_kelvin_and_readings_stay_right()
    {
        var cell = new SimulatedCell(new SimulatorOptions { NoiseFree = true });
        double cold = cell.Instruments.ColdJunctionCelsius;
        cell.AdvanceTo(TimeSpan.FromSeconds(900));
        Assert.Equal(6.5 * (1 - Math.Exp(-1)), cell.Instruments.ColdJunctionCelsius - cold, 0.01);
        cell.AdvanceTo(TimeSpan.FromHours(2));
        Assert.Equal(6.5, cell.Instruments.ColdJunctionCelsius - cold, 0.01);
        double emf = cell.Instruments.Millivolts(0) + TypeK.MillivoltsAt(cell.Instruments.ColdJunctionCelsius);
        Assert.Equal(cell.Truth.ProductCelsius[0], Linearisation.HotJunction(emf, 100), 0.001);
    }

    // IEC 60584-1, type K class 1: 1.5 K up to 375 degC.
    [Fact]
    public void Thermocouples_of_many_seeds_lie_inside_class_1_and_differ()
    {
        double[] errors = [.. Enumerable.Range(1, 40).SelectMany(seed => Enumerable.Range(0, 8).Select(channel =>
        {
            var input = new ThermocoupleInput(channel, false, Randomness.For(seed, channel, 1));
            input.PutAt(230);
            var noise = new Randomness(9);
            double emf = Enumerable.Range(0, 100).Average(_ => input.Sample(25, new ActiveFaults(), 0, noise));
            return Linearisation.HotJunction(emf + TypeK.MillivoltsAt(25), 230) - 230;
        }))];
        Assert.All(errors, e => Assert.InRange(e, -1.5, 1.5));
        Assert.True(errors.Max() > 0.3 && errors.Min() < -0.3);
        Assert.InRange(errors.Average(), -0.1, 0.1);
    }

    [Fact]
    public void Bead_is_63_percent_there_after_four_tenths_of_a_second()
    {
        var input = new ThermocoupleInput(0, false, new Randomness(1));
        var noise = new Randomness(2);
        input.PutAt(100);
        double Reads() => Enumerable.Range(0, 200).Average(_ => input.Sample(0, new ActiveFaults(), 0, noise));
        double from = Reads();
        for (int i = 0; i < 8; i++)
        {
            input.Follow(200, 24, new ActiveFaults(), 0.05);
        }

        double after = Reads();
        for (int i = 0; i < 400; i++)
        {
            input.Follow(200, 24, new ActiveFaults(), 0.05);
        }

        Assert.Equal(1 - Math.Exp(-1), (after - from) / (Reads() - from), 0.01);
    }

    [Fact]
    public void Amplifier_gives_whole_microvolts()
    {
        foreach ((_, InstrumentFrame frame) in Playback.Runs(new SimulatorOptions(), 1).Where((_, i) => i % 50 == 0))
        {
            Assert.Equal(Math.Round(frame.Millivolts(2) * 1000.0), frame.Millivolts(2) * 1000.0, 0.01);
        }
    }

    private static double Steady(GaugeLaw law, double mbar)
    {
        var gauge = new PressureGauge(law, ideal: false);
        var noise = new Randomness(1);
        return Enumerable.Range(0, 50).Select(_ => gauge.Sample(mbar, new ActiveFaults(), noise)).Max();
    }
}
