using System.Globalization;

namespace ThermoWatch.Domain.Tests.Thermocouples;

/// <summary>The published check data, as copied beside the tests.</summary>
internal static class ReferenceTable
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "reference", "thermocouple");

    /// <summary>NIST ITS-90 Thermocouple Database (SRD 60), type tables, printed to 0.001 mV.</summary>
    public static IReadOnlyList<(double Celsius, double Millivolts)> Of(char letter) =>
        [.. Rows($"type_{char.ToLowerInvariant(letter)}_table.csv").Select(row => (row[0], row[1]))];

    /// <summary>Whole type K chains, solved in 50-digit decimal arithmetic and printed to 1e-10 °C.</summary>
    public static IReadOnlyList<(double Millivolts, double ColdJunctionCelsius, double Celsius)> ChainCases() =>
        [.. Rows("chain_cases.csv").Select(row => (row[0], row[1], row[2]))];

    private static double[][] Rows(string file)
    {
        double[][] rows = [.. File.ReadLines(Path.Combine(Folder, file)).Skip(1).Where(line => line.Length > 0)
            .Select(line => Array.ConvertAll(line.Split(','), text => double.Parse(text, CultureInfo.InvariantCulture)))];
        Assert.NotEmpty(rows);
        return rows;
    }
}
