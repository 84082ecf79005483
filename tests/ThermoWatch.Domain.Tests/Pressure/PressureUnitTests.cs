using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Tests.Signals;

namespace ThermoWatch.Domain.Tests.Pressure;

public class PressureUnitTests
{
    // reference/process/pressure_units.csv: NIST SP 811 appendix B.8 and the exact definitions behind it.
    [Theory]
    [InlineData(PressureUnit.Millibar, "mbar", "mbar")]
    [InlineData(PressureUnit.Hectopascal, "hPa", "hPa")]
    [InlineData(PressureUnit.Pascal, "Pa", "Pa")]
    [InlineData(PressureUnit.Kilopascal, "kPa", "kPa")]
    [InlineData(PressureUnit.Torr, "Torr", "Torr")]
    [InlineData(PressureUnit.PoundPerSquareInch, "psi", "psi")]
    [InlineData(PressureUnit.InchOfMercury, "inHg", "inHg_conventional")]
    public void Unit_has_its_published_factor_and_symbol(PressureUnit unit, string symbol, string row)
    {
        double factor = ReferenceRow.All("process/pressure_units.csv")
            .Single(candidate => candidate.Text("kind") == "pressure" && candidate.Text("unit") == row).Number("factor");
        Assert.Equal(factor, PressureUnits.PascalsIn(unit), factor * 1e-14);
        Assert.Equal(symbol, PressureUnits.SymbolOf(unit));
        Assert.Equal(unit, PressureUnits.Find(symbol));
        Assert.Equal(factor, PressureUnits.Convert(1, unit, PressureUnit.Pascal), factor * 1e-14);
        Assert.Equal(1, PressureUnits.Convert(factor, PressureUnit.Pascal, unit), 1e-14);
        Assert.Equal(17.3, PressureUnits.Convert(17.3, unit, unit));
    }

    [Fact]
    public void Millibar_and_hectopascal_are_the_same_to_the_bit() =>
        Assert.Equal(1013.25, PressureUnits.Convert(1013.25, PressureUnit.Millibar, PressureUnit.Hectopascal));

    [Fact]
    public void One_atmosphere_is_760_Torr_and_29_92_inches() // NIST SP 811: 1 atm = 101325 Pa; 29.921 inHg as weather services print it
    {
        Assert.Equal(760, PressureUnits.Convert(1013.25, PressureUnit.Millibar, PressureUnit.Torr), 1e-10);
        Assert.Equal(29.921, PressureUnits.Convert(101325, PressureUnit.Pascal, PressureUnit.InchOfMercury), 0.0005);
        Assert.Equal(14.696, PressureUnits.Convert(101.325, PressureUnit.Kilopascal, PressureUnit.PoundPerSquareInch), 0.0005);
    }

    [Theory]
    [InlineData("bar")]
    [InlineData("MBAR")]
    [InlineData("")]
    public void Unknown_symbol_is_no_unit(string symbol) => Assert.Null(PressureUnits.Find(symbol));

    [Fact]
    public void Unknown_unit_is_our_own_mistake()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => PressureUnits.PascalsIn((PressureUnit)99));
        Assert.Throws<ArgumentOutOfRangeException>(() => PressureUnits.SymbolOf((PressureUnit)99));
    }

    [Fact]
    public void A_number_between_units_of_one_size_keeps_every_bit()
    {
        for (int i = 1; i <= 1000; i++)
        {
            double value = i / 7.0;
            Assert.Equal(value, PressureUnits.Convert(value, PressureUnit.Millibar, PressureUnit.Hectopascal));
            Assert.Equal(value, PressureUnits.Convert(value, PressureUnit.Torr, PressureUnit.Torr));
            Assert.Equal(value, PressureUnits.Convert(value, PressureUnit.PoundPerSquareInch, PressureUnit.PoundPerSquareInch));
        }
    }

    [Fact]
    public void What_is_no_unit_is_refused_in_words()
    {
        Assert.Contains("No such unit", Assert.Throws<ArgumentOutOfRangeException>(() => PressureUnits.PascalsIn((PressureUnit)99)).Message, StringComparison.Ordinal);
        Assert.Contains("No such unit", Assert.Throws<ArgumentOutOfRangeException>(() => PressureUnits.SymbolOf((PressureUnit)99)).Message, StringComparison.Ordinal);
    }
}
