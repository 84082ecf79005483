using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Thermocouples;

/// <summary>Tables of probe, cable and sensor makers after IEC 60584-1:2013, IEC 60584-3 and ASTM E230.</summary>
public class ToleranceTests
{
    // Where the flat part meets the share of the temperature: one value below, at and above each break point, and both ends.
    [Theory]
    [InlineData('K', ToleranceClass.Iec1, -40, 1.5)]
    [InlineData('K', ToleranceClass.Iec1, 250, 1.5)]
    [InlineData('K', ToleranceClass.Iec1, 375, 1.5)]
    [InlineData('K', ToleranceClass.Iec1, 400, 1.6)]
    [InlineData('K', ToleranceClass.Iec1, 1000, 4.0)]
    [InlineData('N', ToleranceClass.Iec1, 500, 2.0)]
    [InlineData('J', ToleranceClass.Iec1, -40, 1.5)]
    [InlineData('J', ToleranceClass.Iec1, 750, 3.0)]
    [InlineData('E', ToleranceClass.Iec1, -40, 1.5)]
    [InlineData('E', ToleranceClass.Iec1, 800, 3.2)]
    [InlineData('T', ToleranceClass.Iec1, -40, 0.5)]
    [InlineData('T', ToleranceClass.Iec1, 125, 0.5)]
    [InlineData('T', ToleranceClass.Iec1, 350, 1.4)]
    [InlineData('R', ToleranceClass.Iec1, 0, 1.0)]
    [InlineData('S', ToleranceClass.Iec1, 1100, 1.0)]
    [InlineData('S', ToleranceClass.Iec1, 1600, 2.5)]
    [InlineData('K', ToleranceClass.Iec2, -40, 2.5)]
    [InlineData('K', ToleranceClass.Iec2, 333, 2.5)]
    [InlineData('K', ToleranceClass.Iec2, 400, 3.0)]
    [InlineData('N', ToleranceClass.Iec2, 1200, 9.0)]
    [InlineData('J', ToleranceClass.Iec2, -40, 2.5)]
    [InlineData('J', ToleranceClass.Iec2, 750, 5.625)]
    [InlineData('E', ToleranceClass.Iec2, -40, 2.5)]
    [InlineData('E', ToleranceClass.Iec2, 900, 6.75)]
    [InlineData('T', ToleranceClass.Iec2, -40, 1.0)]
    [InlineData('T', ToleranceClass.Iec2, 133, 1.0)]
    [InlineData('T', ToleranceClass.Iec2, 350, 2.625)]
    [InlineData('R', ToleranceClass.Iec2, 0, 1.5)]
    [InlineData('R', ToleranceClass.Iec2, 600, 1.5)]
    [InlineData('S', ToleranceClass.Iec2, 1600, 4.0)]
    [InlineData('B', ToleranceClass.Iec2, 600, 1.5)]
    [InlineData('B', ToleranceClass.Iec2, 1700, 4.25)]
    [InlineData('K', ToleranceClass.Iec3, -200, 3.0)]
    [InlineData('N', ToleranceClass.Iec3, -166, 2.5)]
    [InlineData('E', ToleranceClass.Iec3, 40, 2.5)]
    [InlineData('T', ToleranceClass.Iec3, -66, 1.0)]
    [InlineData('T', ToleranceClass.Iec3, -200, 3.0)]
    [InlineData('T', ToleranceClass.Iec3, 40, 1.0)]
    [InlineData('B', ToleranceClass.Iec3, 600, 4.0)]
    [InlineData('B', ToleranceClass.Iec3, 800, 4.0)]
    [InlineData('B', ToleranceClass.Iec3, 1700, 8.5)]
    [InlineData('K', ToleranceClass.AstmSpecial, 0, 1.1)]
    [InlineData('K', ToleranceClass.AstmSpecial, 275, 1.1)]
    [InlineData('N', ToleranceClass.AstmSpecial, 1260, 5.04)]
    [InlineData('J', ToleranceClass.AstmSpecial, 0, 1.1)]
    [InlineData('J', ToleranceClass.AstmSpecial, 760, 3.04)]
    [InlineData('T', ToleranceClass.AstmSpecial, 0, 0.5)]
    [InlineData('T', ToleranceClass.AstmSpecial, 370, 1.48)]
    [InlineData('E', ToleranceClass.AstmSpecial, 0, 1.0)]
    [InlineData('E', ToleranceClass.AstmSpecial, 870, 3.48)]
    [InlineData('R', ToleranceClass.AstmSpecial, 0, 0.6)]
    [InlineData('S', ToleranceClass.AstmSpecial, 1480, 1.48)]
    [InlineData('B', ToleranceClass.AstmSpecial, 870, 2.175)]
    [InlineData('B', ToleranceClass.AstmSpecial, 1700, 4.25)]
    [InlineData('K', ToleranceClass.AstmStandard, 293, 2.2)]
    [InlineData('K', ToleranceClass.AstmStandard, 1260, 9.45)]
    [InlineData('K', ToleranceClass.AstmStandard, -200, 4.0)]
    [InlineData('K', ToleranceClass.AstmStandard, -110, 2.2)]
    [InlineData('N', ToleranceClass.AstmStandard, 0, 2.2)]
    [InlineData('N', ToleranceClass.AstmStandard, 1260, 9.45)]
    [InlineData('J', ToleranceClass.AstmStandard, 0, 2.2)]
    [InlineData('J', ToleranceClass.AstmStandard, 760, 5.7)]
    [InlineData('T', ToleranceClass.AstmStandard, 370, 2.775)]
    [InlineData('T', ToleranceClass.AstmStandard, 0, 1.0)]
    [InlineData('T', ToleranceClass.AstmStandard, -200, 3.0)]
    [InlineData('E', ToleranceClass.AstmStandard, 870, 4.35)]
    [InlineData('E', ToleranceClass.AstmStandard, 0, 1.7)]
    [InlineData('E', ToleranceClass.AstmStandard, -200, 2.0)]
    [InlineData('R', ToleranceClass.AstmStandard, 0, 1.5)]
    [InlineData('S', ToleranceClass.AstmStandard, 1480, 3.7)]
    [InlineData('B', ToleranceClass.AstmStandard, 870, 4.35)]
    [InlineData('B', ToleranceClass.AstmStandard, 1700, 8.5)]
    public void Tolerance_is_the_published_one(char letter, ToleranceClass toleranceClass, double celsius, double kelvin)
    {
        Converted halfWidth = ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, celsius);
        Assert.Equal(SignalQuality.Good, halfWidth.Quality);
        Assert.Equal(kelvin, halfWidth.Value, tolerance: 1e-9);
    }

    [Theory]
    [InlineData("KN", ToleranceClass.Iec1, -40, 1000)]
    [InlineData("J", ToleranceClass.Iec1, -40, 750)]
    [InlineData("E", ToleranceClass.Iec1, -40, 800)]
    [InlineData("T", ToleranceClass.Iec1, -40, 350)]
    [InlineData("RS", ToleranceClass.Iec1, 0, 1600)]
    [InlineData("KN", ToleranceClass.Iec2, -40, 1200)]
    [InlineData("J", ToleranceClass.Iec2, -40, 750)]
    [InlineData("E", ToleranceClass.Iec2, -40, 900)]
    [InlineData("T", ToleranceClass.Iec2, -40, 350)]
    [InlineData("RS", ToleranceClass.Iec2, 0, 1600)]
    [InlineData("B", ToleranceClass.Iec2, 600, 1700)]
    [InlineData("KNET", ToleranceClass.Iec3, -200, 40)]
    [InlineData("B", ToleranceClass.Iec3, 600, 1700)]
    [InlineData("KN", ToleranceClass.AstmSpecial, 0, 1260)]
    [InlineData("J", ToleranceClass.AstmSpecial, 0, 760)]
    [InlineData("T", ToleranceClass.AstmSpecial, 0, 370)]
    [InlineData("E", ToleranceClass.AstmSpecial, 0, 870)]
    [InlineData("RS", ToleranceClass.AstmSpecial, 0, 1480)]
    [InlineData("B", ToleranceClass.AstmSpecial, 870, 1700)]
    [InlineData("K", ToleranceClass.AstmStandard, -200, 1260)]
    [InlineData("N", ToleranceClass.AstmStandard, 0, 1260)]
    [InlineData("J", ToleranceClass.AstmStandard, 0, 760)]
    [InlineData("T", ToleranceClass.AstmStandard, -200, 370)]
    [InlineData("E", ToleranceClass.AstmStandard, -200, 870)]
    [InlineData("RS", ToleranceClass.AstmStandard, 0, 1480)]
    [InlineData("B", ToleranceClass.AstmStandard, 870, 1700)]
    public void Tolerance_ends_where_the_standard_ends(string letters, ToleranceClass toleranceClass, double low, double high)
    {
        foreach (char letter in letters)
        {
            Assert.True(ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, low).Quality.HasValue);
            Assert.True(ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, high).Quality.HasValue);
            Assert.Equal(Converted.Bad(QualityReason.OutOfRange), ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, low - 0.001));
            Assert.Equal(Converted.Bad(QualityReason.OutOfRange), ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, high + 0.001));
        }
    }

    [Theory]
    [InlineData('B', ToleranceClass.Iec1)]
    [InlineData('J', ToleranceClass.Iec3)]
    [InlineData('R', ToleranceClass.Iec3)]
    [InlineData('S', ToleranceClass.Iec3)]
    [InlineData('X', ToleranceClass.Iec2)]
    [InlineData('X', ToleranceClass.AstmSpecial)]
    [InlineData('X', ToleranceClass.AstmStandard)]
    [InlineData('K', (ToleranceClass)7)]
    public void Class_that_a_type_does_not_have_is_no_number(char letter, ToleranceClass toleranceClass)
    {
        for (double celsius = -200; celsius < 1800; celsius += 20)
        {
            Assert.Equal(Converted.Bad(QualityReason.OutOfRange), ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, celsius));
        }

        Assert.Equal(Converted.Bad(QualityReason.NotANumber), ThermocoupleTolerance.HalfWidthKelvin(letter, toleranceClass, double.NaN));
    }

    [Theory]
    [InlineData("KNJE", 1, 1.5)]
    [InlineData("KNJE", 2, 2.5)]
    [InlineData("T", 1, 0.5)]
    [InlineData("T", 2, 1.0)]
    public void Extension_cable_adds_its_own(string letters, int cableClass, double kelvin)
    {
        foreach (char letter in letters)
        {
            Assert.Equal(Converted.Good(kelvin), ThermocoupleTolerance.ExtensionHalfWidthKelvin(letter, cableClass));
        }
    }

    [Theory]
    [InlineData('S', 1)]
    [InlineData('B', 2)]
    [InlineData('K', 3)]
    [InlineData('T', 0)]
    public void Unknown_extension_cable_is_no_number(char letter, int cableClass) =>
        Assert.Equal(Converted.Bad(QualityReason.OutOfRange), ThermocoupleTolerance.ExtensionHalfWidthKelvin(letter, cableClass));
}
