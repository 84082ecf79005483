using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Specs;

/// <summary>J-STD-020 as ceilings of components: every cell of reference/process/jstd020_tc.csv.</summary>
public class PackageClassTests
{
    public static TheoryData<string, double, double, string, double> Cells()
    {
        TheoryData<string, double, double, string, double> cells = [];
        foreach (IReadOnlyDictionary<string, string> row in ReferenceTable.Read("process/jstd020_tc.csv"))
        {
            foreach (double thickness in Corners(row["thickness_mm"], 0.05))
            {
                foreach (double volume in Corners(row["volume_mm3"], 1))
                {
                    cells.Add(row["process"], thickness, volume, row["revision"], double.Parse(row["tc_c"], CultureInfo.InvariantCulture));
                }
            }
        }

        return cells;
    }

    /// <summary>The two ends of a range such as &lt;1.6, 1.6-2.5 or &gt;=350, from just inside.</summary>
    private static double[] Corners(string range, double step)
    {
        double[] numbers = [.. range.TrimStart('<', '>', '=').Split('-').Select(n => double.Parse(n, CultureInfo.InvariantCulture))];
        return range.StartsWith(">=", StringComparison.Ordinal) ? [numbers[0], numbers[0] * 20]
            : range[0] == '>' ? [numbers[0] + step, numbers[0] * 20]
            : range[0] == '<' ? [step, numbers[0] - step]
            : numbers;
    }

    [Fact]
    public void All_cells_are_read() => Assert.Equal(17 * 4, Cells().Count);

    [Theory]
    [MemberData(nameof(Cells))]
    public void Classification_temperature_is_that_of_the_table(string process, double thickness, double volume, string revision, double expected)
    {
        var package = new PackageClass(process == "SnPb" ? SolderProcess.TinLead : SolderProcess.LeadFree, thickness, volume, Enum.Parse<ClassificationRevision>(revision));
        Assert.Equal(expected, package.ClassificationTemperature);
    }

    [Fact]
    public void A_package_of_just_two_and_a_half_millimetres_is_thick_in_revision_C_only()
    {
        Assert.Equal(250, new PackageClass(SolderProcess.LeadFree, 2.5, 100, ClassificationRevision.C).ClassificationTemperature);
        Assert.Equal(260, new PackageClass(SolderProcess.LeadFree, 2.5, 100, ClassificationRevision.D).ClassificationTemperature);
    }

    [Theory]
    [InlineData("SnPb", "snpb_max", SolderProcess.TinLead)]
    [InlineData("Pb-free", "pbfree_max", SolderProcess.LeadFree)]
    public void Ceilings_are_what_the_profile_table_asks_of_the_user(string process, string column, SolderProcess solder)
    {
        IReadOnlyDictionary<string, string> near = ReferenceTable.Read("process/jstd020_profile.csv").Single(r => r["symbol"] == "tp" && r["revision"] == "D");
        ImmutableArray<Limit> ceilings = new PackageClass(solder, 2, 500).Ceilings(["tc4"]);

        Assert.Equal(["peakTemperature", "timeAboveLiquidus"], ceilings.Select(c => c.Figure));
        Assert.Equal((null, process == "SnPb" ? 220.0 : 250.0), (ceilings[0].Lower, ceilings[0].Upper!.Value));
        Assert.Equal((ceilings[0].Upper - 5, double.Parse(near[column], CultureInfo.InvariantCulture)), (ceilings[1].Level, ceilings[1].Upper!.Value));
        Assert.All(ceilings, c => Assert.Contains("J-STD-020D", c.Document, StringComparison.Ordinal));
    }

    [Fact]
    public void Spec_takes_components_by_their_package_and_names_the_standard_when_they_collide()
    {
        const string Text = """
            { "name": "x", "version": 1, "alloy": "SAC305",
              "componentCeilings": [ { "process": "Pb-free", "thickness_mm": 3, "volume_mm3": 2500 }, { "process": "Pb-free", "thickness_mm": 1, "volume_mm3": 100, "channels": ["tc4"] } ],
              "limits": [ { "figure": "sustainedPeak", "lower": LOWER, "document": "paste sheet" } ] }
            """;
        Spec spec = SpecFile.Parse(Encoding.UTF8.GetBytes(Text.Replace("LOWER", "235", StringComparison.Ordinal))).Spec!;
        Assert.Equal([null, 245.0, 30.0, 260.0, 30.0], spec.Limits.Select(l => l.Upper));
        Assert.Equal([240.0, 255.0], spec.Limits.Select(l => l.Level).OfType<double>());
        Assert.Equal([Place.Body], spec.Limits[1].Places);
        Assert.Equal(["tc4"], spec.Limits[3].Channels);

        SpecFault fault = Assert.Single(SpecFile.Parse(Encoding.UTF8.GetBytes(Text.Replace("LOWER", "250", StringComparison.Ordinal))).Faults);
        Assert.Contains("\"paste sheet\" ($.limits[0])", fault.Problem, StringComparison.Ordinal);
        Assert.Contains("\"J-STD-020D, Pb-free package 3 mm, 2500 mm3\" ($.componentCeilings[0])", fault.Problem, StringComparison.Ordinal);
    }
}
