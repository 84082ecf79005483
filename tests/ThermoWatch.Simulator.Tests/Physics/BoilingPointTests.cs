using ThermoWatch.Simulator.Physics;

namespace ThermoWatch.Simulator.Tests.Physics;

public class BoilingPointTests
{
    // Petrucci, General Chemistry: water at Leadville, 3170 m. Inputs published; 373.15 K at 1 atm, 41 kJ/mol.
    [Fact]
    public void Water_boils_in_the_mountains_where_the_textbook_says()
    {
        (Func<string, double> input, double expected, double tolerance) = Reference.Example("process/thermal_examples.csv", "clausius_clapeyron_leadville_tb");
        double hpa = 1013.25 * input("p2_over_p1");
        Assert.Equal(expected, BoilingPoint.CelsiusAt(hpa, 100, input("dH")), tolerance);
    }

    [Fact]
    public void Fluid_boils_lower_at_altitude()
    {
        (Func<string, double> input, double expected, double tolerance) = Reference.Example("process/thermal_examples.csv", "vapour_temp_at_altitude_upper");
        Assert.Equal(expected, BoilingPoint.CelsiusAt(input("p2_hPa"), input("T1_c"), input("dH")), tolerance);
    }

    [Theory]
    [InlineData(2)]
    [InlineData(120)]
    [InlineData(898.8)]
    [InlineData(1043)]
    public void Vapour_pressure_is_the_inverse(double hpa) =>
        Assert.Equal(hpa, BoilingPoint.HectopascalsAt(BoilingPoint.CelsiusAt(hpa, 230), 230), hpa * 1e-9);
}
