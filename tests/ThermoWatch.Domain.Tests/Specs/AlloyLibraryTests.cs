using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Specs;

/// <summary>The alloy library against reference/process/alloys.csv, and what a spec may call an alloy.</summary>
public class AlloyLibraryTests
{
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> s_table = ReferenceTable.Read("process/alloys.csv");

    private static SpecParse Parse(string alloy, string more = "") => SpecFile.Parse(Encoding.UTF8.GetBytes(
        $$"""{ "name": "x", "version": 1, "alloy": {{alloy}}, {{more}} "limits": [] }"""));

    [Fact]
    public void Library_is_the_published_table_with_its_sources()
    {
        Assert.Equal(19, s_table.Count);
        Assert.Equal(
            s_table.Select(r => (r["alloy"], double.Parse(r["solidus_c"], CultureInfo.InvariantCulture), double.Parse(r["liquidus_c"], CultureInfo.InvariantCulture), r["source"])),
            AlloyLibrary.All.Select(a => (a.Name == a.Composition ? a.Name : $"{a.Composition} ({a.Name})", a.Solidus, a.Liquidus, a.Source)));
    }

    [Theory]
    [InlineData("SAC305", "SAC305")]
    [InlineData("sac 305", "SAC305")]
    [InlineData("Sn96.5Ag3.0Cu0.5", "SAC305")]
    [InlineData("Sn96.5/Ag3/Cu0.5", "SAC305")]
    [InlineData("SnAg3.0Cu0.5", "SAC305")]
    [InlineData("Pb37Sn63", "Sn63Pb37")]
    [InlineData("BiSn42", "Sn42Bi58")]
    [InlineData("SAC306", null)]
    [InlineData("Sn", null)]
    [InlineData("SnPb", null)]
    [InlineData("Sn42Bi57", null)]
    [InlineData("Sn999999999999Pb", null)]
    [InlineData("", null)]
    public void Alloy_is_found_by_its_name_or_its_composition(string written, string? name) => Assert.Equal(name, AlloyLibrary.Find(written)?.Name);

    [Fact]
    public void Every_alloy_is_found_by_both_its_names() =>
        Assert.All(AlloyLibrary.All, a => Assert.Equal((a, a), (AlloyLibrary.Find(a.Name), AlloyLibrary.Find(a.Composition))));

    [Fact]
    public void A_name_alone_takes_the_temperatures_of_the_library()
    {
        Assert.Equal(new Alloy("SAC305", 217, 220), Parse("\"sac305\"").Spec!.Alloy);
        Spec spec = Parse("""{ "name": "SAC305" }""", """ "channelAlloys": { "tc4": "Sn42Bi58", "tc5": { "name": "Sn63Pb37" } }, """).Spec!;
        Assert.Equal(new Alloy("Sn42Bi58", 138, 138), spec.AlloyOf("tc4"));
        Assert.Equal(new Alloy("Sn63Pb37", 183, 183), spec.AlloyOf("tc5"));
    }

    [Fact]
    public void Temperatures_of_the_sheet_are_believed_whatever_the_name() =>
        Assert.Equal(new Alloy("SAC305", 217, 219), Parse("""{ "name": "SAC305", "solidus": 217, "liquidus": 219 }""").Spec!.Alloy);

    [Theory]
    [InlineData("\"SAC350\"", "$.alloy", "SAC305")]
    [InlineData("{ \"name\": \"Sn63Pb73\" }", "$.alloy", "Sn63Pb37")]
    [InlineData("{ \"name\": \"Sn42Bi56Ag2\" }", "$.alloy", "Sn42Bi57Ag1")]
    public void Unknown_alloy_names_the_near_ones(string alloy, string path, string near)
    {
        SpecFault fault = Assert.Single(Parse(alloy).Faults);
        Assert.Equal(path, fault.Path);
        Assert.StartsWith($"Did you mean {near}", fault.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void Half_of_a_melting_range_is_refused() =>
        Assert.Equal("$.alloy.solidus", Assert.Single(Parse("""{ "name": "SAC305", "liquidus": 219 }""").Faults).Path);
}
