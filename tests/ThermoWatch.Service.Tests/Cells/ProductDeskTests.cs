using System.Text.Json.Nodes;
using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Rejudging;
using ThermoWatch.Service.Tests.Rejudging;

namespace ThermoWatch.Service.Tests.Cells;

/// <summary>A run learns its product and spec from the machine's recipe, a code or a person; without them it is recorded and waits.</summary>
public sealed class ProductDeskTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("product");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Run_learns_product_and_spec_from_the_recipe_register()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, Wired(SpecsOf("traction 12", 12), SpecsOf("gate 14", 14)), runs: 2);
        RunRow run = cell.Catalogue.Find(1, 1)!;
        int recipe = run.Recipe!.Value;
        Assert.Equal($"{(recipe == 12 ? "traction" : "gate")} {recipe}", run.SpecName);
        RunRecord record = cell.Catalogue.Book.Record(1, 1);
        Assert.Equal((run.SpecName, recipe), (record.Product, record.Recipe!.Value));
        Assert.Equal("recipe register", cell.Catalogue.Book.Changes(1, 1)[0].By);
        Assert.NotNull(run.Verdict);
    }

    [Fact]
    public async Task Run_of_which_nothing_tells_is_recorded_without_limits_and_waits_for_a_decision()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, Wired(SpecsOf("another", 99)), runs: 2);
        RunRow run = cell.Catalogue.Find(1, 1)!;
        Assert.Null(run.SpecName);
        Assert.Equal((Verdict.Undetermined, "noLimits"), (run.Verdict!.Value, run.Reasons[^1]));
        Assert.Null(cell.Catalogue.Book.Record(1, 1).Product);
        Assert.Contains(cell.Catalogue.Search(new RunQuery(1) { Open = true }), r => r.Number == 1);

        // Once its product is known it is judged by that spec, beside the record.
        var source = new RunSource(1, cell.Catalogue, cell.Host.ReadFrom, sequence => cell.Host.DefinitionAt(sequence));
        RejudgedRun judged = Assert.Single(new RejudgeWork(source, new RejudgeOrder { Spec = cell.Host.Products[0], Run = 1 }).Run(1, default));
        Assert.Equal((Verdict.Undetermined, Verdict.Pass), (judged.Before, judged.After));
        Assert.Equal(new FieldChange("spec", null, "another, version 3"), judged.Changed[0]);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task What_somebody_says_stands_over_the_register_and_the_wrong_recipe_is_told_also_after_a_restart_before_the_run(bool restarted)
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(
            _folder.FullName, Wired(SpecsOf("traction 12", 12), SpecsOf("gate 14", 14), SpecsOf("said", 77)), runs: 2,
            before: host => host.SayProduct("A", host.Products.Single(s => s.Name == "said"), "Ines, code SN-1"), restarted: restarted);
        RunRow first = cell.Catalogue.Find(1, 1)!;
        Assert.Equal("said", first.SpecName);
        Assert.Equal("Ines, code SN-1", cell.Catalogue.Book.Changes(1, 1)[0].By);
        Assert.Equal("said", cell.Catalogue.Book.Record(1, 1).Product);
        Assert.NotEqual("said", cell.Catalogue.Find(1, 2)!.SpecName); // it was said of one run

        AlarmEvent wrong = cell.Catalogue.Alarms(1, long.MaxValue, 100).Select(s => s.Event).Last(e => e.Condition == "wrongRecipe");
        Assert.Equal((1L, 77.0, (double)first.Recipe!.Value), (wrong.Run!.Value, wrong.Limit!.Value, wrong.Value!.Value));
        Assert.InRange(wrong.Time.SecondsSince(first.Start), 0, 30);
    }

    [Fact]
    public async Task What_was_said_of_the_next_run_is_not_said_of_the_one_after_it_by_a_restart()
    {
        NodeConfiguration node = Wired(SpecsOf("traction 12", 12), SpecsOf("gate 14", 14), SpecsOf("said", 77));
        using RecordedCell cell = await RecordedCell.MakeAsync(
            _folder.FullName, node, runs: 1, before: host => host.SayProduct("A", host.Products.Single(s => s.Name == "said"), "Ines"));
        Assert.Equal("said", cell.Catalogue.Find(1, 1)!.SpecName);
        await using var recorder = new RunRecorder(cell.Catalogue, 1, TimeProvider.System, NullLogger.Instance);
        Assert.Null(recorder.NextOf("A"));
        recorder.KeepNext("A", new ProductOfNext("gate 14", 3, 9, "Kim"), SimulatedRecord.Born);
        Assert.Equal(new ProductOfNext("gate 14", 3, 9, "Kim"), recorder.NextOf("A"));
        Assert.Null(recorder.NextOf("B"));

        // It has begun, and the process ended before its product was written.
        recorder.Began(new RunEvent(SimulatedRecord.Born, 9, "A", RunState.Started, SimulatedRecord.Born, null, "slope", RunKind.Profile, 14), 1);
        Assert.NotNull(recorder.NextOf("A"));
        cell.Catalogue.Book.Edit(1, 9, new RunRecordEdit { Product = "gate 14" }, SimulatedRecord.Born, "Kim", null);
        Assert.Null(recorder.NextOf("A"));
    }

    private static string SpecsOf(string name, int recipe)
    {
        JsonNode spec = JsonNode.Parse(SimulatedRecord.SpecText)!;
        (spec["name"], spec["recipe"]) = (name, recipe);
        return spec.ToJsonString();
    }

    /// <summary>The demo's cell with its recipe register wired, and specs to choose from.</summary>
    private static NodeConfiguration Wired(params string[] specs) => SimulatedRecord.Configuration(
        json =>
        {
            JsonNode cell = json["cells"]![0]!;
            cell["devices"]![0]!["points"]!.AsArray().Add(JsonNode.Parse("""{ "id": "recipe", "table": "input", "address": 41, "type": "uint16" }"""));
            cell["channels"]!.AsArray().Add(JsonNode.Parse("""{ "id": "recipe", "name": "Recipe", "role": "signal", "signal": "recipe", "device": "amplifier", "point": "recipe", "unit": "1" }"""));
            cell.AsObject().Remove("spec");
            cell["specs"] = new JsonArray([.. specs.Select((_, i) => JsonValue.Create($"spec{i}.json"))]);
        },
        name => name.StartsWith("spec", StringComparison.Ordinal) ? specs[name[4] - '0'] : null);
}
