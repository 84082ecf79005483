using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator.Instruments;

namespace ThermoWatch.Simulator.Tests.Faults;

public class TypeJTests
{
    // NIST SRD 60, type J table, printed to 0.001 mV.
    [Fact]
    public void Emf_agrees_with_the_published_table()
    {
        int rows = 0;
        foreach (string[] row in Reference.Rows("thermocouple/type_j_table.csv"))
        {
            double celsius = Reference.Number(row[0]);
            if (celsius is >= -210 and <= 760)
            {
                Assert.Equal(Reference.Number(row[1]), TypeJ.MillivoltsAt(celsius), 0.00051);
                rows++;
            }
        }

        Assert.True(rows > 90, $"only {rows} rows");
    }

    // reference/thermocouple/chain_cases.csv: EMF and cold junction to hot junction, computed outside with mpmath from the same function.
    [Fact]
    public void Linearising_instrument_agrees_with_the_worked_chains()
    {
        foreach (string[] row in Reference.Rows("thermocouple/chain_cases.csv"))
        {
            double sum = Reference.Number(row[0]) + TypeK.MillivoltsAt(Reference.Number(row[1]));
            Assert.Equal(Reference.Number(row[2]), Linearisation.HotJunction(sum, 100), 1e-5);
        }
    }
}
