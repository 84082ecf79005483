using System.Globalization;
using ThermoWatch.Domain.Tests.Signals;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Tests.Thermocouples;

public class ReferenceFunctionTests
{
    public static TheoryData<char> Letters => [.. Thermocouple.Letters];

    // reference/thermocouple/forward.csv: the coefficients of NIST SRD 60, digit by digit.
    [Theory]
    [MemberData(nameof(Letters))]
    public void Coefficients_are_the_published_ones(char letter)
    {
        ReferenceRow[] rows = [.. ReferenceRow.All("thermocouple/forward.csv").Where(row => row.Text("type") == letter.ToString())];
        ReferencePiece[] pieces = ReferenceCoefficients.Of(letter);
        var published = rows.Where(row => row.Text("term") == "poly")
            .GroupBy(row => (row.Number("range_low_c"), row.Number("range_high_c"))).ToArray();
        Assert.Equal(published.Select(piece => piece.Key), pieces.Select(piece => (piece.LowCelsius, piece.HighCelsius)));
        foreach ((ReferencePiece piece, var polynomial) in pieces.Zip(published))
        {
            Assert.Equal(polynomial.Select(row => row.Number("coefficient")), piece.Coefficients);
            Assert.Equal(polynomial.Select((_, order) => order.ToString(CultureInfo.InvariantCulture)), polynomial.Select(row => row.Text("order")));
        }

        ReferenceRow[] bump = [.. rows.Where(row => row.Text("term") == "exp")];
        Assert.Equal(letter == 'K' ? 3 : 0, bump.Length);
        Assert.Equal(
            letter == 'K' ? new ReferenceBump(bump[0].Number("coefficient"), bump[1].Number("coefficient"), bump[2].Number("coefficient")) : null,
            pieces[^1].Bump);
    }

    // Built anew, past everything that is kept between calls: the function itself against every row of the published table.
    [Theory]
    [MemberData(nameof(Letters))]
    public void Function_built_anew_agrees_with_the_published_table(char letter)
    {
        var function = new ReferenceFunction(ReferenceCoefficients.Of(letter));
        foreach ((double celsius, double millivolts) in ReferenceTable.Of(letter))
        {
            Assert.Equal(millivolts, function.MillivoltsAt(celsius), tolerance: 0.0005);
        }
    }

    [Theory]
    [MemberData(nameof(Letters))]
    public void Tables_built_anew_agree_with_the_root(char letter)
    {
        var function = new ReferenceFunction(ReferenceCoefficients.Of(letter));
        double lowest = letter == 'B' ? 43 : function.LowestCelsius;
        ThermocoupleTables tables = ThermocoupleTables.Build(letter, function, lowest);
        int answered = 0;
        for (int i = 0; i <= 5003; i++)
        {
            double celsius = lowest + ((function.HighestCelsius - lowest) * i / 5003);
            double fromTable = tables.Inverse.At(function.MillivoltsAt(celsius));
            double emf = tables.Forward.At(celsius);
            if (!double.IsNaN(emf)) Assert.Equal(function.MillivoltsAt(celsius), emf, tolerance: 1e-9);
            if (double.IsNaN(fromTable)) continue;
            answered++;
            Assert.Equal(celsius, fromTable, tolerance: 1e-6);
        }

        Assert.InRange(answered, 4000, 5004); // cold ends and joins are left to the root
    }

    [Fact]
    public void Unknown_letter_has_no_pieces() => Assert.Empty(ReferenceCoefficients.Of('X'));
}
