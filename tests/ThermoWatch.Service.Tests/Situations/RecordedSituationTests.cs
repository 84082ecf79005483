using System.Text.Json;
using Microsoft.AspNetCore.Http;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
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
    public async Task Thermocouple_that_came_off_is_marked_in_the_stored_curves_from_its_last_sure_second_on()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, SimulatedRecord.Configuration(), runs: 2, scenario: "lifting-tape");
        RunRow whole = cell.Catalogue.Find(1, 1)!, lifted = cell.Catalogue.Find(1, 2)!;
        JsonElement curves = await Curves(cell, lifted);
        JsonElement mark = Assert.Single(curves.GetProperty("marks").EnumerateArray(), m => m.GetProperty("quality").GetString() == "uncertain:detached");

        // As it was found while the run went on, and where the tape lifts: at 3:10 of the machine's own time.
        GapSpan live = Assert.Single(cell.Host.Picture.Runs.Single(r => r.Number == 2).Gaps);
        Assert.Equal(("tc6", QualityReason.Detached), (live.ChannelId, live.Reason));
        Assert.Equal(live.ChannelId, mark.GetProperty("channel").GetString());
        double sure = live.Start.SecondsSince(lifted.Start);
        Assert.InRange(mark.GetProperty("from_s").GetDouble() - sure, 0.001, 0.3);
        Assert.InRange(lifted.End!.Value.SecondsSince(lifted.Start) - mark.GetProperty("to_s").GetDouble(), 0, 0.3);

        // Each of its readings says so, and no other channel's does.
        double[] times = [.. curves.GetProperty("time_s").EnumerateArray().Select(t => t.GetDouble())];
        double end = lifted.End.Value.SecondsSince(lifted.Start);
        foreach (JsonElement curve in curves.GetProperty("curves").EnumerateArray().Where(c => c.GetProperty("channel").GetString()!.StartsWith("tc", StringComparison.Ordinal)))
        {
            string quality = curve.GetProperty("quality").GetString()!;
            bool own = curve.GetProperty("channel").GetString() == "tc6";
            Assert.All(times.Zip(quality).Where(r => r.Second is '0' or '1'), r => Assert.Equal(own && r.First > sure && r.First <= end ? '1' : '0', r.Second));
        }

        Assert.Empty((await Curves(cell, whole)).GetProperty("marks").EnumerateArray());
    }

    private static async Task<JsonElement> Curves(RecordedCell cell, RunRow run)
    {
        using var body = new MemoryStream();
        var context = new DefaultHttpContext { Response = { Body = body } };
        await new RunCurvesResult(new RunReader(cell.Host, run, 5, 20)).ExecuteAsync(context);
        await context.Response.BodyWriter.FlushAsync();
        return JsonDocument.Parse(body.ToArray()).RootElement;
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
