using System.Text.Json;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Tests.Rejudging;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>Days that a floor knows, from the simulated machine's registers to what stands in the catalogue.</summary>
public sealed class RecordedSituationTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("situation");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Carrier_loaded_warm_is_a_run_of_its_own_and_none_is_given_up()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, SimulatedRecord.Configuration(), runs: 2, scenario: "warm-second-carrier");
        RunRow[] runs = [.. cell.Catalogue.Latest(1, 10).Reverse()];
        Assert.Equal([1L, 2L], runs.Select(r => r.Number));
        Assert.All(runs, r => Assert.True(r.EndReason is "unplugged" or "cooled" or "newRise" or "leftInMachine", $"run {r.Number} ended by {r.EndReason}"));
        Assert.Contains("warmStart", runs[1].Notes);
        Assert.True(runs[1].Start >= runs[0].End);
    }

    [Fact]
    public async Task Production_runs_are_found_and_compared_and_never_pass_or_fail()
    {
        const int Runs = 30, Released = 8;
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, Production(), runs: Runs, scenario: "two-hundred-production-runs");
        RunRow[] runs = [.. cell.Catalogue.Latest(1, 100).Where(r => r.End is not null).Reverse()];
        Assert.True(runs.Length is Runs or Runs - 1, $"{runs.Length} runs; the first: {string.Join(", ", runs.Take(6).Select(r => $"{r.Number} {r.StartReason} {r.EndReason}"))}"); // the last may still be in the machine
        Assert.All(runs, r => Assert.Equal((RunKind.Production, null), (r.Kind, r.Verdict)));
        foreach (RunRow run in runs.Take(Released))
        {
            cell.Catalogue.Book.ReleaseAsReference(1, run.Number, run.End!.Value, "Ines", "first week");
        }

        Likeness[] found = [.. runs.Skip(Released).Select(r => ReferenceResource.CompareWithReleased(cell.Catalogue, r).Result)];
        Assert.Contains(Likeness.Consistent, found);
        string all = JsonSerializer.Serialize(runs);
        Assert.DoesNotContain("\"pass\"", all, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("noChannel", string.Join(' ', runs.SelectMany(r => r.Reasons)), StringComparison.Ordinal);
        Assert.DoesNotContain(Told(cell), e => e.Condition is "tooHot" or "timeAboveLiquidus" or "limit");
    }

    [Fact]
    public async Task Each_cycle_of_a_machine_that_says_when_it_runs_is_one_run()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(
            _folder.FullName, Production(("running", """{ "id": "running", "table": "discrete", "address": 0, "type": "bit" }""")), runs: 6, scenario: "two-hundred-production-runs");
        RunRow[] runs = [.. cell.Catalogue.Latest(1, 100).Where(r => r.End is not null).Reverse()];
        Assert.InRange(runs.Length, 5, 6); // the last may still be in the machine
        Assert.All(runs, r => Assert.Equal(("signal", 1.0), (r.StartReason, r.Figures.Single(f => f.Figure == "evacuations").Value!.Value)));
    }

    [Fact]
    public async Task Second_side_is_judged_by_its_own_alloy_and_the_first_side_stays_below_its_liquidus()
    {
        const string Spec = """
            { "name": "Control board, second side", "version": 1, "alloy": { "name": "Sn42Bi58", "solidus": 138, "liquidus": 138 },
              "channelAlloys": { "tc2": { "name": "SAC305", "solidus": 217, "liquidus": 220 } },
              "limits": [ { "figure": "timeAboveLiquidus", "lower": 20, "upper": 90, "channels": ["tc1", "tc3"] },
                          { "figure": "peakTemperature", "upper": 217, "channels": ["tc2"], "document": "first side" } ] }
            """;
        using RecordedCell cell = await RecordedCell.MakeAsync(
            _folder.FullName, SimulatedRecord.Configuration(file: name => name.EndsWith("spec.json", StringComparison.Ordinal) ? Spec : null), runs: 1, scenario: "tin-bismuth-second-side");
        RunRow run = cell.Catalogue.Find(1, 1)!;
        Assert.Equal((Verdict.Pass, ""), (run.Verdict!.Value, string.Join(' ', run.Reasons)));
        FigureResult Figure(string name, string channel) => run.Figures.First(f => f.Figure == name && f.ChannelId == channel);
        Assert.True(Figure("peakTemperature", "tc2").Value < 217);
        Assert.Equal(0, Figure("timeAboveLiquidus", "tc2").Value);
        Assert.InRange(Figure("timeAboveLiquidus", "tc1").Value!.Value, 20, 90);
        Assert.Null(Figure("soakTime", "tc1").Verdict); // no soak is made up
        Assert.Empty(Told(cell));
    }

    private static AlarmEvent[] Told(RecordedCell cell) =>
        [.. cell.Catalogue.Alarms(1, long.MaxValue, 1000).Select(s => s.Event).Where(e => e.State == AlarmState.Unacknowledged)];

    private static Service.Configuration.NodeConfiguration Production(params (string Signal, string Point)[] more) =>
        SimulatedRecord.Configuration(json => SimulatedRecord.StripProductSensors(json, more));
}
