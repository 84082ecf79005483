using ThermoWatch.Simulator.Physics;

namespace ThermoWatch.Simulator.Tests.Physics;

public class VacuumChamberTests
{
    private const double Step = 0.05;

    // engineeringtoolbox.com, worked examples; 1 m3 and 0.1 m3/s.
    [Theory]
    [InlineData("pumpdown_1m3_to_500")]
    [InlineData("pumpdown_1m3_to_100")]
    public void Pump_down_takes_as_long_as_published(string name)
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/vacuum_examples.csv", name);
        double litres = 1000 * input("V_m3"), speed = 1000 * input("S_m3_per_s");
        Assert.Equal(expected, SecondsTo(litres, speed, 0, input("p0_mbar"), input("p1_mbar")), Step);
    }

    [Fact]
    public void Pump_down_with_a_gas_load_ends_at_its_base_pressure()
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/vacuum_examples.csv", "pumpdown_with_base");
        double litres = 1000 * input("V_m3"), speed = input("S_m3_per_h") / 3.6;
        double load = input("pb_mbar") * speed;
        Assert.Equal(expected, SecondsTo(litres, speed, load, input("p0_mbar"), input("p1_mbar")), Step);
        var chamber = new VacuumChamber(litres, 1013);
        for (int i = 0; i < 60_000; i++)
        {
            chamber.Pump(speed, load, Step);
        }

        Assert.Equal(input("pb_mbar"), chamber.Mbar, 1e-6);
    }

    [Fact]
    public void Pump_behind_a_line_has_the_published_effective_speed()
    {
        (Func<string, double> input, double expected, double tolerance) = Reference.Example("process/vacuum_examples.csv", "effective_speed_series");
        Assert.Equal(expected, VacuumChamber.EffectiveSpeed(input("S_m3_per_s"), input("C_m3_per_s")), tolerance);
    }

    [Fact]
    public void Base_pressure_is_the_leak_over_the_speed_and_what_lies_at_it_is_never_reached()
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/vacuum_examples.csv", "base_pressure_from_leak");
        var chamber = new VacuumChamber(250, 1013);
        for (int i = 0; i < 60_000; i++)
        {
            chamber.Pump(input("S_l_per_s"), input("q_mbar_l_per_s"), Step);
        }

        Assert.Equal(expected, chamber.Mbar, 1e-6);
        (input, _, _) = Reference.Example("process/vacuum_examples.csv", "pumpdown_never_reached");
        double speed = input("S_m3_per_h") / 3.6;
        chamber = new VacuumChamber(1000 * input("V_m3"), input("p0_mbar"));
        for (int i = 0; i < 20_000; i++) // 1000 s, eighteen time constants
        {
            chamber.Pump(speed, input("pb_mbar") * speed, Step);
        }

        Assert.InRange(chamber.Mbar, input("p1_mbar"), input("p1_mbar") + 0.01);
    }

    [Fact]
    public void Leak_into_a_shut_chamber_is_a_straight_line()
    {
        // q = V dp/dt, definition of throughput: 1 mbar.l/s into 1 l is 1 mbar/s.
        var chamber = new VacuumChamber(1, 1000);
        chamber.Pump(1e6, 0, 1);
        double start = chamber.Mbar;
        chamber.Pump(0, 1, 10);
        Assert.Equal(10, chamber.Mbar - start, 1e-9);
    }

    [Fact]
    public void Vent_is_steady_while_choked_and_slows_near_the_end()
    {
        // 10 mm2 into 100 l: 20.1 mbar/s by the choked formula (198.6 m/s · CdA/V · ambient).
        var chamber = new VacuumChamber(100, 1013);
        chamber.Pump(1e6, 0, 1);
        double first = Rise(chamber, 1);
        Assert.Equal(20.1, first, 0.05);
        while (chamber.Mbar < 0.52 * 1013)
        {
            Assert.Equal(first, Rise(chamber, 1), 0.3);
        }

        while (chamber.Mbar < 0.95 * 1013)
        {
            Rise(chamber, 1);
        }

        Assert.InRange(Rise(chamber, 1), 0.1, 0.75 * first);
        for (int i = 0; i < 100; i++)
        {
            Rise(chamber, 1);
        }

        Assert.Equal(1013, chamber.Mbar, 0.01);
    }

    private static double Rise(VacuumChamber chamber, double seconds)
    {
        double before = chamber.Mbar;
        for (int i = 0; i < Math.Round(seconds / Step); i++)
        {
            chamber.Vent(10, 1013, Step);
        }

        return (chamber.Mbar - before) / seconds;
    }

    private static double SecondsTo(double litres, double speed, double load, double from, double to)
    {
        var chamber = new VacuumChamber(litres, from);
        double seconds = 0;
        while (chamber.Mbar > to)
        {
            chamber.Pump(speed, load, Step);
            seconds += Step;
        }

        return seconds;
    }
}
