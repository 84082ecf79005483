using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Thermocouples;

public class ThermocoupleTests
{
    public static TheoryData<char> Letters => [.. Thermocouple.Letters];

    // NIST ITS-90 Thermocouple Database (SRD 60), every stored row; printed to 0.001 mV, so half of that is the limit.
    [Theory]
    [MemberData(nameof(Letters))]
    public void Emf_agrees_with_every_row_of_the_published_table(char letter)
    {
        Thermocouple type = Thermocouple.Of(letter);
        foreach ((double celsius, double millivolts) in ReferenceTable.Of(letter))
        {
            Converted emf = type.ToMillivolts(celsius);
            Assert.Equal(SignalQuality.Good, emf.Quality);
            Assert.Equal(millivolts, emf.Value, tolerance: 0.0005);
        }
    }

    // Across the published step of type J at 760 °C two temperatures 1.2e-6 K apart share an EMF.
    [Theory]
    [MemberData(nameof(Letters))]
    public void Temperature_survives_the_round_trip_over_the_whole_range(char letter)
    {
        Thermocouple type = Thermocouple.Of(letter);
        double limit = letter == 'J' ? 2e-6 : 1e-6;
        double from = letter == 'B' ? type.InverseFromCelsius + 1e-4 : type.InverseFromCelsius;
        const int Steps = 200_003; // a prime, so that the grid does not fall on the table's nodes
        double worst = 0;
        for (int i = 0; i <= Steps; i++)
        {
            double celsius = i == Steps ? type.HighestCelsius : from + ((type.HighestCelsius - from) * i / Steps);
            Converted back = type.ToCelsius(type.ToMillivolts(celsius).Value);
            Assert.Equal(SignalQuality.Good, back.Quality);
            worst = Math.Max(worst, Math.Abs(back.Value - celsius));
        }

        Assert.InRange(worst, 0, limit);
    }

    // 40 chains solved in 50-digit decimal arithmetic from the NIST function; see reference/thermocouple/README.md.
    [Fact]
    public void Chain_with_a_cold_junction_agrees_with_cases_solved_in_fifty_digits()
    {
        foreach ((double millivolts, double coldJunction, double celsius) in ReferenceTable.ChainCases())
        {
            Assert.Equal(celsius, Thermocouple.K.ToCelsius(millivolts, coldJunction).Value, tolerance: 1e-6);
        }
    }

    // The published pieces of type K step by 2e-9 mV at 0 °C, and 0 °C belongs to the lower one: an ice point adds nothing.
    [Theory]
    [MemberData(nameof(Letters))]
    public void Cold_junction_at_the_ice_point_adds_nothing(char letter)
    {
        Thermocouple type = Thermocouple.Of(letter);
        for (double share = 0.01; share <= 1; share += 0.01)
        {
            double millivolts = type.HighestMillivolts * share;
            Assert.Equal(type.ToCelsius(millivolts).Value, type.ToCelsius(millivolts, 0).Value, tolerance: 1e-10);
        }
    }

    [Theory]
    [MemberData(nameof(Letters))]
    public void Ends_of_the_range_are_inside_and_a_nanovolt_beyond_is_not(char letter)
    {
        Thermocouple type = Thermocouple.Of(letter);
        Assert.Equal(type.HighestCelsius, type.ToCelsius(type.HighestMillivolts).Value, tolerance: 1e-9);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), type.ToCelsius(type.HighestMillivolts + 1e-6).Quality);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), type.ToCelsius(type.LowestMillivolts - 1e-6).Quality);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), type.ToMillivolts(type.LowestCelsius - 0.01).Quality);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), type.ToMillivolts(type.HighestCelsius + 0.01).Quality);
        if (letter != 'B')
        {
            Assert.Equal(type.LowestCelsius, type.ToCelsius(type.LowestMillivolts).Value, tolerance: 1e-9);
        }
    }

    // reference/thermocouple/README.md: E(t) of type B returns to zero at 42.1 °C.
    [Fact]
    public void Type_B_refuses_an_emf_that_two_temperatures_share()
    {
        Thermocouple b = Thermocouple.Of('B');
        Assert.Equal(42.1, b.InverseFromCelsius, tolerance: 0.05);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), b.ToCelsius(0).Quality);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), b.ToCelsius(-0.001).Quality);
        Assert.InRange(b.ToCelsius(1e-6).Value, b.InverseFromCelsius, b.InverseFromCelsius + 0.01);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    public void What_is_no_number_stays_none(double value)
    {
        Assert.Equal(Converted.Bad(QualityReason.NotANumber), Thermocouple.K.ToCelsius(value));
        Assert.Equal(Converted.Bad(QualityReason.NotANumber), Thermocouple.K.ToMillivolts(value));
        Assert.Equal(Converted.Bad(QualityReason.NotANumber), Thermocouple.K.SlopeAt(value));
        Assert.Equal(Converted.Bad(QualityReason.NotANumber), Thermocouple.K.ToCelsius(value, 25));
        Assert.Equal(Converted.Bad(QualityReason.ColdJunction), Thermocouple.K.ToCelsius(1, value));
    }

    [Fact]
    public void Unknown_letter_is_no_type()
    {
        Assert.Null(Thermocouple.Find('k'));
        Assert.Null(Thermocouple.Find('X'));
        Assert.Throws<ArgumentException>(() => Thermocouple.Of('X'));
    }

    // Seebeck coefficients of type K in µV/K as handbooks print them; computed independently from the NIST function.
    [Theory]
    [InlineData(0, 39.4501)]
    [InlineData(25, 40.5177)]
    [InlineData(183, 39.9095)]
    [InlineData(245, 40.6218)]
    [InlineData(300, 41.4457)]
    public void Seebeck_coefficient_of_type_K(double celsius, double microvoltsPerKelvin) =>
        Assert.Equal(microvoltsPerKelvin, 1000 * Thermocouple.K.SlopeAt(celsius).Value, tolerance: 0.0001);

    [Fact]
    public void A_slope_beyond_the_range_is_out_of_range_and_that_of_no_number_is_not_a_number()
    {
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfRange), Thermocouple.K.SlopeAt(1500).Quality);
        Assert.Equal(SignalQuality.Bad(QualityReason.NotANumber), Thermocouple.K.SlopeAt(double.NaN).Quality);
    }

    [Fact]
    public void What_is_no_type_is_refused_with_the_types_there_are() =>
        Assert.Contains("'X' is no thermocouple type; use one of BEJKNRST", Assert.Throws<ArgumentException>(() => Thermocouple.Of('X')).Message, StringComparison.Ordinal);
}
