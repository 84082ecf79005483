using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Cells;

public sealed class SpecReachTests : IDisposable
{
    private static readonly string s_demo = Path.Combine(Repository.Root, "src", "ThermoWatch.Service", "Demo");
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("reach");

    public void Dispose() => _folder.Delete(recursive: true);

    private string Data => Path.Combine(_folder.FullName, "data");

    /// <summary>A record of runs that came down to these pressures, mbar, under the demo's spec in a version.</summary>
    private void Record(int version, params double[] lowest)
    {
        using DataFolder folder = DataFolder.Open(Data, TimeProvider.System).Folder!;
        using RunCatalogue catalogue = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);
        for (int i = 0; i < lowest.Length; i++)
        {
            var start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero)).AddSeconds(i * 600);
            catalogue.Save(new RunRow
            {
                Cell = 1,
                Number = i + 1,
                Carrier = "A",
                Start = start,
                End = start.AddSeconds(400),
                FirstSequence = i + 1,
                SpecName = "Traction board",
                SpecVersion = version,
                Figures = [new FigureResult { Figure = "lowestPressure", Unit = "mbar", Value = lowest[i] }],
            });
        }
    }

    private static CellConfiguration Cell() => Assert.Single(ConfigurationReader.Read(
        File.ReadAllText(Path.Combine(s_demo, "thermowatch.json")), [], name => File.ReadAllBytes(Path.Combine(s_demo, name))).Node!.Cells);

    private SpecReach Reach() => Ask(runs => SpecReach.Of(Cell(), runs));

    private IReadOnlyList<string> Refusals() => Ask(runs => SpecReach.Refusals([Cell()], runs, NullLogger.Instance));

    private T Ask<T>(Func<RunCatalogue, T> question)
    {
        using DataFolder folder = DataFolder.Open(Data, TimeProvider.System).Folder!;
        using RunCatalogue catalogue = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);
        return question(catalogue);
    }

    [Fact]
    public void Target_below_one_and_a_half_times_what_runs_usually_reach_is_named()
    {
        Record(2, 3.9, 4.1, 3.8, 4.0, 4.2, 3.9); // the demo's spec, version 3, asks for 5 mbar
        SpecReach reach = Reach();
        SpecFault fault = Assert.Single(reach.Faults);
        Assert.False(reach.IsInUse);
        Assert.Contains("5 mbar", fault.Problem, StringComparison.Ordinal);
        Assert.Contains("3.9 mbar", fault.Problem, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(2.9, 3.0, 3.1, 2.8, 3.2)] // low enough
    [InlineData(3.9, 4.0, 4.1, 3.8)] // too few to say what is usual
    [InlineData(2.9, 3.0, 100.0, 99.0, 101.0, 100.0, 2.9, 3.1)] // half of them by a shallower recipe
    public void Target_that_can_be_reached_or_that_nobody_can_tell_of_is_no_fault(params double[] lowest)
    {
        Record(2, lowest);
        Assert.Empty(Reach().Faults);
    }

    [Fact]
    public void New_spec_is_refused_and_one_in_use_goes_on_when_the_pump_wears()
    {
        Record(2, 3.9, 4.1, 3.8, 4.0, 4.2, 3.9);
        Assert.StartsWith("cells[0].spec does not fit this cell: $.vacuum.target is 5 mbar", Assert.Single(Refusals()), StringComparison.Ordinal);
        Record(3, 3.9, 4.1, 3.8, 4.0, 4.2, 3.9);
        Assert.Single(Reach().Faults);
        Assert.Empty(Refusals());
    }
}
