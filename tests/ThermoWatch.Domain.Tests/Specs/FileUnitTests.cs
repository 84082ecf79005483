using System.Globalization;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Specs;

public class FileUnitTests
{
    // reference/process/pressure_units.csv: NIST SP 811, appendix B.8.
    [Theory]
    [InlineData("hPa")]
    [InlineData("mbar")]
    [InlineData("Pa")]
    [InlineData("kPa")]
    [InlineData("Torr")]
    [InlineData("psi")]
    [InlineData("inHg")]
    public void Pressure_unit_agrees_with_the_published_factor(string unit)
    {
        IReadOnlyDictionary<string, string> row = ReferenceTable.Read("process/pressure_units.csv")
            .First(r => r["kind"] == "pressure" && r["to_unit"] == "Pa" && r["unit"].StartsWith(unit, StringComparison.Ordinal));
        double published = double.Parse(row["factor"], CultureInfo.InvariantCulture);
        Assert.Equal(published, FileUnits.PascalsIn(unit)!.Value, published * 1e-9);
    }

    [Fact]
    public void Temperatures_become_celsius()
    {
        Assert.Equal(100, FileUnits.ToCelsius(212, "degF"), 1e-12);
        Assert.Equal(0, FileUnits.ToCelsius(273.15, "K"), 1e-12);
        Assert.Equal(217, FileUnits.ToCelsius(217, "degC"));
    }
}
