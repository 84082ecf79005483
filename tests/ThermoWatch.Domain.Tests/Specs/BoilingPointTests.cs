using System.Globalization;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Specs;

public class BoilingPointTests
{
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> s_table = ReferenceTable.Read("process/thermal_examples.csv");

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    // Petrucci, General Chemistry 10th ed., ch. 12 problem 100: water at Leadville, and the vapour row beside it.
    [Theory]
    [InlineData("clausius_clapeyron_leadville_tb")]
    [InlineData("vapour_temp_at_altitude_upper")]
    public void Boiling_point_agrees_with_the_worked_example(string name)
    {
        IReadOnlyDictionary<string, string> row = s_table.Single(r => r["name"] == name);
        Dictionary<string, double> inputs = row["inputs"].Split(';').Select(p => p.Split('=')).ToDictionary(p => p[0], p => Number(p[1]));
        double first = inputs.TryGetValue("T1_c", out double celsius) ? celsius : inputs["T1_K"] - 273.15;
        (double at, double day) = inputs.TryGetValue("p1_hPa", out double p1) ? (p1, inputs["p2_hPa"]) : (1013.25, 1013.25 * inputs["p2_over_p1"]);

        Assert.Equal(Number(row["expected"]), BoilingPoint.At(new Fluid("x", first, at, inputs["dH"] / 1000), day).Celsius, Number(row["tolerance"]));
    }

    // Fluid 230 at 45, 55 and 65 kJ/mol: shift in K, computed outside this program from 1/T2 = 1/T1 - (R/H) ln(p2/p1).
    [Theory]
    [InlineData(1043, 1.36, 1.11, 0.94)]
    [InlineData(954.6, -2.77, -2.27, -1.92)]
    [InlineData(795.0, -11.1, -9.1, -7.7)]
    [InlineData(100, -89, -75, -65)]
    public void Unknown_enthalpy_leaves_an_interval(double hectopascal, double at45, double at55, double at65)
    {
        BoilingPoint found = BoilingPoint.At(new Fluid("230", 230, 1013.25), hectopascal);
        double tolerance = Math.Abs(at45) > 20 ? 0.5 : Math.Abs(at45) > 5 ? 0.05 : 0.005;
        Assert.Equal(at55, found.Celsius - 230, tolerance);
        Assert.Equal(Math.Min(at45, at65), found.Low - 230, tolerance);
        Assert.Equal(Math.Max(at45, at65), found.High - 230, tolerance);
    }

    // ISO 2533 standard atmosphere: 898.75 hPa at 1000 m, 794.95 hPa at 2000 m.
    [Theory]
    [InlineData(0, 1013.25)]
    [InlineData(1000, 898.75)]
    [InlineData(2000, 794.95)]
    public void Usual_pressure_is_that_of_the_standard_atmosphere(double metres, double hectopascal) =>
        Assert.Equal(hectopascal, BoilingPoint.UsualHectopascalAt(metres), 0.05);
}
