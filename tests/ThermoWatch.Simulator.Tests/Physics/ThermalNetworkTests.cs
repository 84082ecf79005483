using ThermoWatch.Simulator.Physics;

namespace ThermoWatch.Simulator.Tests.Physics;

public class ThermalNetworkTests
{
    private const double Step = 0.05;

    [Fact]
    public void Board_in_vapour_follows_the_closed_form()
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/thermal_examples.csv", "board_in_vapour");
        ThermalNetwork network = InVapour(input("Tv_c"), input("T0_c"), input("tau_s"));
        Surroundings around = Vapour(input("Tv_c"));
        Run(network, around, input("t_s"));
        Assert.Equal(expected, network.Celsius[0], 0.01);
    }

    [Fact]
    public void Liquidus_is_reached_when_the_closed_form_says()
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/thermal_examples.csv", "time_to_liquidus_in_vapour");
        ThermalNetwork network = InVapour(input("Tv_c"), input("T0_c"), input("tau_s"));
        Surroundings around = Vapour(input("Tv_c"));
        double seconds = 0;
        while (network.Celsius[0] < input("TL_c"))
        {
            network.Step(around, Step);
            seconds += Step;
        }

        Assert.Equal(expected, seconds, Step);
    }

    [Fact]
    public void Vapour_cooler_than_the_liquidus_never_melts_anything()
    {
        (Func<string, double> input, _, _) = Reference.Example("process/thermal_examples.csv", "time_to_liquidus_never");
        ThermalNetwork network = InVapour(input("Tv_c"), input("T0_c"), input("tau_s"));
        Run(network, Vapour(input("Tv_c")), 50 * input("tau_s"));
        Assert.Equal(input("Tv_c"), network.Celsius[0], 1e-6);
        Assert.True(network.Celsius[0] < input("TL_c"));
    }

    [Fact]
    public void Three_equal_steps_of_its_heating_point_at_the_vapour()
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/thermal_examples.csv", "asymptote_three_equal_steps");
        ThermalNetwork network = InVapour(expected, input("T1_c"), 20);
        Run(network, Vapour(expected), 10);
        Assert.Equal(input("T2_c"), network.Celsius[0], 0.01);
        Run(network, Vapour(expected), 10);
        Assert.Equal(input("T3_c"), network.Celsius[0], 0.01);
    }

    [Fact]
    public void Response_is_63_percent_after_one_time_constant()
    {
        (Func<string, double> input, double expected, _) = Reference.Example("process/thermal_examples.csv", "step_response_63pct");
        ThermalNetwork network = InVapour(input("Tf_c"), input("Ti_c"), 10);
        Run(network, Vapour(input("Tf_c")), 10 * input("t_over_tau"));
        Assert.Equal(expected, network.Celsius[0], 0.01);
    }

    [Fact]
    public void Heavy_load_heats_along_a_line_until_vapour_catches_up()
    {
        // Energy alone: heater power over all heat capacity, while the vapour is held down by the load.
        Place[] places = [Place.FromTimes(500, 8, 30, 1e9, 0), Place.FromTimes(500, 8, 30, 1e9, 0)];
        var network = new ThermalNetwork(places, 0, new(400), 230);
        network.PutBoards(160);
        network.Zone.Celsius = 160;
        Surroundings around = Vapour(230) with { VapourWatts = 2000 };
        Run(network, around, 15);
        double before = network.Celsius[0];
        Run(network, around, 5);
        Assert.Equal(2000.0 / 1400, (network.Celsius[0] - before) / 5, 0.05);
        Assert.True(network.Zone.Celsius < 229);
    }

    [Fact]
    public void Heat_given_is_heat_taken_through_a_whole_cycle()
    {
        var cell = new SimulatedCell(new SimulatorOptions { Scenario = "overshoot" });
        ThermalNetwork network = cell.Machine.Network;
        double boards = network.BoardJoules, zone = network.Zone.Celsius;
        cell.AdvanceTo(TimeSpan.FromSeconds(370));
        Assert.Equal(1, cell.Truth.RunNumber);
        HeatLedger ledger = network.Ledger;
        Assert.True(ledger.Condensed > 40_000 && ledger.Radiant > 1000 && ledger.Flashed > 500 && ledger.Coil > 1000);
        Assert.Equal(network.BoardJoules - boards, ledger.Condensed + ledger.FromGas + ledger.FromWalls + ledger.Radiant - ledger.Flashed, 0.01);
        Assert.Equal(network.Zone.Capacity * (network.Zone.Celsius - zone), ledger.Heater - ledger.Condensed - ledger.ZoneLoss - ledger.Coil, 0.01);
    }

    [Fact]
    public void Condensate_flashes_off_only_below_its_vapour_pressure_and_takes_its_heat()
    {
        ThermalNetwork network = new([Place.FromTimes(100, 8, 30, 1e9, 2), Place.FromTimes(100, 8, 30, 1e9, 0)], 0, new(1e9), 230);
        network.PutBoards(225);
        network.Zone.Celsius = 230;
        Run(network, Vapour(230), 30);
        double wet = network.Celsius[0];
        Run(network, new Surroundings { ChamberMbar = 1050, RadiantPlace = -1, ZoneRestSeconds = 1e12 }, 20);
        Assert.Equal(wet, network.Celsius[0], 0.001);
        Run(network, new Surroundings { ChamberMbar = 20, RadiantPlace = -1, ZoneRestSeconds = 1e12 }, 30);
        Assert.Equal(2, wet - network.Celsius[0], 0.01);
        Assert.Equal(wet, network.Celsius[1], 0.01);
    }

    private static ThermalNetwork InVapour(double vapour, double start, double tau)
    {
        // A zone so large that the boards cannot draw it down: the textbook's constant surroundings.
        var network = new ThermalNetwork([Place.FromTimes(100, tau, 30, 1e12, 0), Place.FromTimes(100, tau, 30, 1e12, 0)], 0, new(1e12), vapour);
        network.PutBoards(start);
        network.Zone.Celsius = vapour;
        return network;
    }

    private static Surroundings Vapour(double celsius) =>
        new() { Immersion = 1, ZoneHoldsVapour = true, BoilingCelsius = celsius, ChamberMbar = 1013.25, RadiantPlace = -1 };

    private static void Run(ThermalNetwork network, Surroundings around, double seconds)
    {
        for (int i = 0; i < Math.Round(seconds / Step); i++)
        {
            network.Step(around, Step);
        }
    }
}
