using CsCheck;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Thermocouples;

public class ThermocouplePropertyTests
{
    private static readonly Gen<Thermocouple> AnyType = Gen.Int[0, Thermocouple.Letters.Length - 1].Select(i => Thermocouple.Of(Thermocouple.Letters[i]));

    private static readonly Gen<double> AnyNumber = Gen.Frequency(
        (10, Gen.Double[-400, 2000]), (5, Gen.Double[-10, 80]), (2, Gen.Double), (1, Gen.Bool.Select(b => b ? double.NaN : double.PositiveInfinity)));

    [Fact]
    public void Warmer_junction_never_reads_colder() =>
        Gen.Select(AnyType, Gen.Double[0, 1], Gen.Double[1e-7, 1]).Sample((type, at, step) =>
        {
            double span = type.HighestMillivolts - type.LowestMillivolts;
            double millivolts = type.LowestMillivolts + (at * span);
            double more = Math.Min(type.HighestMillivolts, millivolts + (step * span * 0.01));
            Converted colder = type.ToCelsius(millivolts);
            Converted warmer = type.ToCelsius(more);
            Assert.True(!colder.Quality.HasValue || warmer.Value >= colder.Value, $"{type.Letter}: {millivolts} mV and {more} mV");
        });

    // Junctions in whole millikelvin: closer than 1e-14 °C to 0 °C nobody can say on which side of type K's published step one is.
    [Fact]
    public void Chain_comes_back_whatever_the_cold_junction() =>
        Gen.Select(AnyType, Gen.Double[0, 1], Gen.Int[0, 60_000].Select(millikelvin => millikelvin / 1000.0)).Sample((type, at, coldJunction) =>
        {
            double celsius = type.InverseFromCelsius + 0.001 + (at * (type.HighestCelsius - type.InverseFromCelsius - 0.001));
            double millivolts = type.ToMillivolts(celsius).Value - type.ToMillivolts(coldJunction).Value;
            Assert.Equal(celsius, type.ToCelsius(millivolts, coldJunction).Value, tolerance: 2e-6);
        });

    [Fact]
    public void Nothing_good_is_ever_not_a_number() =>
        Gen.Select(AnyType, AnyNumber, AnyNumber).Sample((type, first, second) =>
        {
            foreach (Converted result in new[] { type.ToCelsius(first), type.ToCelsius(first, second), type.ToMillivolts(first), type.SlopeAt(first) })
            {
                Assert.Equal(result.Quality.HasValue, double.IsFinite(result.Value));
                Assert.Equal(!result.Quality.HasValue, double.IsNaN(result.Value));
            }
        });

    [Fact]
    public void Wherever_the_table_answers_it_agrees_with_the_root() =>
        Gen.Select(AnyType, Gen.Double[0, 1]).Sample((type, at) =>
        {
            double millivolts = type.LowestMillivolts + (at * (type.HighestMillivolts - type.LowestMillivolts));
            Converted celsius = type.ToCelsius(millivolts);
            if (!celsius.Quality.HasValue) return;
            double back = type.ToMillivolts(celsius.Value).Value;
            double slope = type.SlopeAt(celsius.Value).Value;
            Assert.Equal(0, (back - millivolts) / slope, tolerance: 2e-6);
        });
}
