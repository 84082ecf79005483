using System.Text;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Demo;
using ThermoWatch.Service.Tests.Rejudging;

namespace ThermoWatch.Service.Tests.Cells;

/// <summary>
/// The demo's own cell, two boards told apart by the recipe register, through runs whose product changes: who is accused of a wrong recipe.
/// </summary>
public sealed class RecipeOfRunTests : IDisposable
{
    private const int Traction = 12, Gate = 9, Unknown = 14;
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("recipe");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Product_that_changes_between_runs_chooses_its_spec_and_raises_no_alarm()
    {
        using RecordedCell cell = await LiveAsync(4, (run, _) => run is 1 or 4 ? Traction : Gate);
        Assert.Equal(["Traction board", "Gate driver board", "Gate driver board", "Traction board"], Enumerable.Range(1, 4).Select(n => cell.Catalogue.Find(1, n)!.SpecName));
        Assert.Equal([Traction, Gate, Gate, Traction], Enumerable.Range(1, 4).Select(n => cell.Catalogue.Find(1, n)!.Recipe!.Value));
        Assert.Empty(Accused(cell));
    }

    [Fact]
    public async Task Register_that_shows_the_next_recipe_while_boards_cool_changes_neither_the_run_nor_its_product()
    {
        // From the machine's unloading on the register says what comes next; the boards of the run before are still warm.
        using RecordedCell cell = await LiveAsync(3, (run, seconds) => (run, seconds) is (1, < 300) or (2, > 300) or (3, _) ? Traction : Gate);
        Assert.Equal([("Traction board", Traction), ("Gate driver board", Gate), ("Traction board", Traction)], Enumerable.Range(1, 3).Select(n => cell.Catalogue.Find(1, n)!).Select(r => (r.SpecName!, r.Recipe!.Value)));
        Assert.Empty(Accused(cell));
    }

    [Fact]
    public async Task Recipe_that_no_product_asks_for_is_held_against_the_cells_usual_spec_and_is_over_with_the_next_run()
    {
        using RecordedCell cell = await LiveAsync(3, (run, _) => run == 2 ? Unknown : Traction);
        (AlarmState State, long? Run, double? Value, double? Limit)[] steps = [.. Accused(cell).Select(e => (e.State, e.Run, e.Value, e.Limit))];
        Assert.Equal((AlarmState.Unacknowledged, 2L, (double)Unknown, (double)Traction), (steps[0].State, steps[0].Run, steps[0].Value, steps[0].Limit));
        Assert.Equal((AlarmState.ReturnedUnacknowledged, 2L), (steps[1].State, steps[1].Run)); // nobody has looked: it waits on the list
        Assert.Equal(2, steps.Length);
        Assert.Equal("Traction board", cell.Catalogue.Find(1, 2)!.SpecName);
    }

    [Fact]
    public async Task Unknown_recipe_after_another_product_is_held_against_the_cells_usual_spec_and_not_against_the_one_before()
    {
        using RecordedCell cell = await LiveAsync(2, (run, _) => run == 1 ? Gate : Unknown);
        Assert.Equal(["Gate driver board", "Traction board"], Enumerable.Range(1, 2).Select(n => cell.Catalogue.Find(1, n)!.SpecName));
        AlarmEvent wrong = Accused(cell).First();
        Assert.Equal((2L, Unknown, Traction), (wrong.Run!.Value, wrong.Value!.Value, wrong.Limit!.Value));
    }

    [Fact]
    public async Task Another_products_recipe_during_the_run_is_told_and_does_not_make_it_that_product()
    {
        using RecordedCell cell = await LiveAsync(2, (run, seconds) => run == 1 && seconds is > 120 and < 250 ? Gate : Traction);
        RunRow run = cell.Catalogue.Find(1, 1)!;
        Assert.Equal("Traction board", run.SpecName);
        Assert.Equal("Traction board TB-6", cell.Catalogue.Book.Record(1, 1).Product);
        AlarmEvent[] steps = [.. Accused(cell)];
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged], steps.Select(s => s.State));
        Assert.InRange(steps[0].Time.SecondsSince(SimulatedRecord.Born), 120, 130);
        Assert.InRange(steps[1].Time.SecondsSince(cell.Catalogue.Find(1, 2)!.Start), 0, 30);
    }

    [Fact]
    public async Task Product_that_somebody_says_in_the_middle_of_a_run_is_held_against_its_recipe_within_ten_seconds_and_not_before()
    {
        Timestamp? said = null;
        using RecordedCell cell = await LiveAsync(1, (_, _) => Unknown, json => json.Replace("\"spec\": \"traction-board.spec.json\",", "", StringComparison.Ordinal), beside: (host, _) =>
        {
            if (said is null && host.Picture.Runs is [{ End: null } run] && host.Picture.Time.SecondsSince(run.Start) > 100)
            {
                said = host.Picture.Time;
                host.SayProduct("A", host.Products.Single(s => s.Recipe == Gate), "Ines");
            }

            return [];
        });
        AlarmEvent wrong = Accused(cell).First();
        Assert.InRange(wrong.Time.SecondsSince(said!.Value), 0, 10);
        Assert.Equal((Unknown, Gate), (wrong.Value!.Value, wrong.Limit!.Value));
        Assert.Equal("Gate driver board", cell.Catalogue.Find(1, 1)!.SpecName);
    }

    private static IEnumerable<AlarmEvent> Accused(RecordedCell cell) =>
        cell.Catalogue.Alarms(1, long.MaxValue, 1000).Select(s => s.Event).Where(e => e.Condition == "wrongRecipe").OrderBy(e => e.Time);

    private async Task<RecordedCell> LiveAsync(
        int runs, Func<int, double, int> recipe, Func<string, string>? change = null, Func<CellHost, RunCatalogue, IEnumerable<EngineInput>>? beside = null)
    {
        string json = Encoding.UTF8.GetString(Demo("thermowatch.json"));
        NodeConfiguration node = ConfigurationReader.Read(change?.Invoke(json) ?? json, [], Demo).Node!;
        int register = node.Cells[0].Definition.Devices[0].Points.ToList().IndexOf("recipe");
        var first = new Dictionary<int, Timestamp>();
        return await RecordedCell.MakeAsync(_folder.FullName, node, runs, beside: beside, altered: (run, input) =>
        {
            first.TryAdd(run, input.Time);
            RawScan scan = ((ScanInput)input).Scan;
            double[] values = [.. scan.Values];
            values[register] = recipe(run, input.Time.SecondsSince(first[run]));
            return new ScanInput(new RawScan(scan.DeviceIndex, scan.Time, values, scan.Qualities));
        });
    }

    private static byte[] Demo(string name)
    {
        using Stream stream = typeof(DemoNode).Assembly.GetManifestResourceStream("ThermoWatch.Service.Demo." + name)!;
        byte[] bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
