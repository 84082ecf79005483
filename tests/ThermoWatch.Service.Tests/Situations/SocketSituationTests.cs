using System.Text.Json;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Service.Tests.Rejudging;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>Days that a floor knows, the whole way: machine, socket, service, and what a client of its API and its hub is told.</summary>
public sealed class SocketSituationTests
{
    private static string[] Texts(JsonElement array) => [.. array.EnumerateArray().Select(t => t.GetString()!)];

    private static string? Verdict(JsonElement run) => run.GetProperty("verdict").GetString();

    private static string Condition(JsonElement alarm) => alarm.GetProperty("condition").GetString()!;

    /// <summary>Seconds since the opening at which a phase of a run begins, as the API says.</summary>
    private static async Task<double> BeginOfAsync(SocketFloor floor, int run, string phase)
    {
        JsonElement detail = await floor.GetAsync($"runs/{run}");
        JsonElement found = detail.GetProperty("phases").EnumerateArray().First(p => p.GetProperty("phase").GetString() == phase);
        return SocketFloor.Seconds(detail.GetProperty("run").GetProperty("start")) + found.GetProperty("start_s").GetDouble();
    }

    private static string Spec(string limits, string more = "", string alloy = "SAC305") => $$"""
        {
          "name": "Traction board", "version": 1, "alloy": "{{alloy}}",
          "fluid": { "name": "230", "boilingPoint": 230, "at_hPa": 1013.25 }, "soak": { "from": 150, "to": 180 },
          "vacuum": { "target": 5, "unit": "mbar", "steps": [ { "purpose": "void", "target": 5 } ] }, {{more}} "limits": [ {{limits}} ]
        }
        """;

    [Fact]
    public async Task Carrier_loaded_warm_is_a_run_of_its_own_and_none_is_given_up()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(ScenarioLibrary.Find("warm-second-carrier")!);
        await floor.RunsAsync(2);
        JsonElement[] runs = await floor.RunsListedAsync();
        Assert.Equal([1, 2], runs.Select(r => r.GetProperty("number").GetInt32()));
        Assert.Contains(runs[0].GetProperty("endReason").GetString(), (string?[])["cooled", "unplugged"]);
        Assert.NotEqual("abandoned", runs[1].GetProperty("endReason").GetString());
        Assert.Contains("warmStart", Texts(runs[1].GetProperty("notes")));

        // A run begins where its first curve last was within 1 K of its least value, and the first kelvin of warm boards is slow.
        Assert.Equal(floor.At(1, t => t.RunTime >= TimeSpan.Zero), SocketFloor.Seconds(runs[0].GetProperty("start")), 5.0);
        Assert.Equal(floor.At(2, t => t.RunTime >= TimeSpan.Zero), SocketFloor.Seconds(runs[1].GetProperty("start")), 6.0);
    }

    [Fact]
    public async Task Pre_vacuum_and_a_wait_on_the_way_down_are_neither_cold_nor_slow()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            ScenarioLibrary.Find("stepped-vacuum")!, spec: Spec("""{ "figure": "moltenAtEvacuation", "lower": 2 }, { "figure": "pumpDownTime", "upper": 40 }"""));
        await floor.RunsAsync(1);
        JsonElement run = Assert.Single(await floor.RunsListedAsync());
        Assert.Equal(("pass", "shallowEvacuation"), (Verdict(run), Texts(run.GetProperty("notes")).Single()));
        Assert.Equal(1, (await floor.FigureAsync(1, "evacuations")).GetProperty("value").GetDouble());
        Assert.Equal(floor.At(1, t => t.Phase == MachinePhase.Evacuation), await BeginOfAsync(floor, 1, "evacuate"), 0.7);
        double atTarget = floor.Lived.First(l => l.Truth.ChamberMbar <= 5).Seconds;
        Assert.Equal(atTarget - floor.At(1, t => t.Phase == MachinePhase.Evacuation), (await floor.FigureAsync(1, "pumpDownTime")).GetProperty("value").GetDouble(), 0.7);
        Assert.Empty(await floor.ToldAsync());
    }

    [Fact]
    public async Task Vent_that_overshoots_and_a_gauge_that_drifts_leave_the_next_evacuation_at_its_valve()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(ScenarioLibrary.Find("overshooting-vent")!);
        await floor.RunsAsync(2);
        for (int run = 1; run <= 2; run++)
        {
            Assert.Equal(floor.At(run, t => t.Phase == MachinePhase.Evacuation), await BeginOfAsync(floor, run, "evacuate"), 0.5);
            Assert.Equal(1, (await floor.FigureAsync(run, "evacuations")).GetProperty("value").GetDouble());
        }

        Assert.Empty(await floor.ToldAsync());
    }

    [Fact]
    public async Task Recipe_of_another_product_is_said_while_its_boards_are_still_cold_and_the_run_is_no_pass()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            SocketFloor.Only("recipe-without-vacuum", 3),
            json => SimulatedRecord.Wire(json, ("recipe", """{ "id": "recipe", "table": "input", "address": 41, "type": "uint16" }""")),
            Spec("""{ "figure": "vacuumHold", "lower": 10 }""", """ "recipe": 12, """));
        await floor.RunsAsync(1);
        JsonElement[] told = await floor.ToldAsync();
        JsonElement wrong = told.Single(a => Condition(a) == "wrongRecipe");
        Assert.Equal((14, 12), (wrong.GetProperty("value").GetDouble(), wrong.GetProperty("limit").GetDouble()));

        // A run is known when its boards have risen by 8 K; ten seconds after that at the latest it is said.
        double known = floor.At(1, t => t.ProductCelsius.Max() >= floor.Lived[0].Truth.ProductCelsius.Max() + 10);
        Assert.InRange(SocketFloor.Seconds(wrong.GetProperty("time")), floor.At(1, t => t.RunTime >= TimeSpan.Zero), known + 10);

        // That its vacuum did not come is certain when its last place has gone solid.
        double solid = floor.Lived.SkipWhile(l => l.Truth.ProductCelsius.Min() < 220).First(l => l.Truth.ProductCelsius.Max() < 217).Seconds;
        Assert.InRange(SocketFloor.Seconds(told.Single(a => Condition(a) == "unexpectedVacuum").GetProperty("time")), solid - 1, solid + 10);
        JsonElement run = Assert.Single(await floor.RunsListedAsync());
        Assert.Equal(("fail", 14), (Verdict(run), run.GetProperty("recipe").GetInt32()));
        Assert.Contains("unexpectedVacuum", Texts(run.GetProperty("reasons")));
    }

    [Fact]
    public async Task Tape_that_lifts_leaves_its_channel_unsure_from_that_second_and_the_others_judged()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            SocketFloor.Only("lifting-tape", 2),
            spec: Spec("""{ "figure": "peakTemperature", "upper": 235 }, { "figure": "timeAboveLiquidus", "lower": 35, "upper": 90 }, { "figure": "peakSpread", "upper": 8 }"""));
        await floor.UntilAsync(t => t.RunTime.TotalSeconds >= 200);

        // Ten seconds later everybody who watches sees where the curve ends that was sure.
        double lifted = floor.At(1, t => t.RunTime.TotalSeconds >= 190);
        Gap unsure = Assert.Single((await floor.StateAsync()).Runs[0].Gaps);
        Assert.Equal(("tc6", null), (unsure.Channel, unsure.End));
        Assert.Equal(lifted, SocketFloor.Seconds(unsure.Start), 1.0);

        await floor.RunsAsync(1);
        JsonElement run = Assert.Single(await floor.RunsListedAsync());
        Assert.Equal("undetermined", Verdict(run));
        Assert.All(Texts(run.GetProperty("reasons")), r => Assert.EndsWith("/tc6:badQuality", r, StringComparison.Ordinal));
        for (int place = 0; place < SimulatedChannels.ProductCount; place++)
        {
            JsonElement above = await floor.FigureAsync(1, "timeAboveLiquidus", Played.Product(place));
            Assert.Equal(place == 5 ? "undetermined" : "pass", above.GetProperty("verdict").GetString());
        }

        Assert.Contains("channelLost:tc6", Texts((await floor.FigureAsync(1, "peakSpread")).GetProperty("notes")));
        Assert.Empty(await floor.ToldAsync());
    }

    [Fact]
    public async Task Service_that_comes_back_while_boards_stand_in_vapour_says_so_bounds_the_gap_and_fails_on_what_it_saw()
    {
        Scenario dip = SocketFloor.Only("power-dip", 2);
        double at = dip.Runs[0].Faults.Single(f => f.Kind == FaultKind.ProgrammeStopped).AtSeconds;
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            dip with { Runs = [dip.Runs[0] with { Faults = [new PlannedFault(FaultKind.ProgrammeStopped, at, ForSeconds: 95)] }] },
            spec: Spec("""{ "figure": "timeAboveLiquidus", "upper": 90 }"""));
        await floor.UntilAsync(t => t.RunTime.TotalSeconds >= at);
        await floor.StopServiceAsync();
        floor.PassUnseen(TimeSpan.FromSeconds(40));
        await floor.StartServiceAsync();
        await floor.RunsAsync(1);

        JsonElement run = Assert.Single(await floor.RunsListedAsync());
        Assert.Equal("fail", Verdict(run));
        for (int place = 1; place <= SimulatedChannels.ProductCount; place++)
        {
            JsonElement above = await floor.FigureAsync(1, "timeAboveLiquidus", Played.Product(place - 1));
            double truly = floor.Lived.Count(l => l.Truth.RunNumber == 1 && l.Truth.ProductCelsius[place - 1] >= 220) * SimulatedCell.SamplePeriod.TotalSeconds;
            Assert.Equal(("gap", "fail"), (above.GetProperty("reason").GetString(), above.GetProperty("verdict").GetString()));
            Assert.InRange(above.GetProperty("low").GetDouble(), 96, truly);
        }

        JsonElement[] told = await floor.ToldAsync();
        Assert.Contains("timeAboveLiquidus", told.Select(Condition));
    }

    [Fact]
    public async Task Plateau_off_by_more_than_the_weather_is_told_after_three_runs_and_no_sensor_is_accused()
    {
        Scenario low = ScenarioLibrary.Find("low-barometer")!;
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            low with { Runs = [low.Runs[0] with { From = 1, To = 0, FluidShift = -4 }] }, spec: Spec("""{ "figure": "peakTemperature", "upper": 235 }""", alloy: "Sn63Pb37"));
        await floor.RunsAsync(2);
        Assert.Empty(await floor.ToldAsync());
        await floor.RunsAsync(3);
        JsonElement off = Assert.Single(await floor.ToldAsync());
        Assert.Equal(("plateauOff", "vapour"), (Condition(off), off.GetProperty("channel").GetString()));

        // Of the six kelvin two are the weather's.
        Assert.InRange(off.GetProperty("value").GetDouble(), -5, -3);
    }

    [Fact]
    public async Task Second_side_is_judged_by_its_own_alloy_and_the_first_side_stays_solid()
    {
        await using SocketFloor floor = await SocketFloor.OpenAsync(ScenarioLibrary.Find("tin-bismuth-second-side")!, spec: """
            { "name": "Control board, second side", "version": 1, "alloy": { "name": "Sn42Bi58", "solidus": 138, "liquidus": 138 },
              "channelAlloys": { "tc2": { "name": "SAC305", "solidus": 217, "liquidus": 220 } },
              "limits": [ { "figure": "timeAboveLiquidus", "lower": 20, "upper": 90, "channels": ["tc1", "tc3"] },
                          { "figure": "peakTemperature", "upper": 217, "channels": ["tc2"], "document": "first side" } ] }
            """);
        await floor.RunsAsync(1);
        JsonElement run = Assert.Single(await floor.RunsListedAsync());
        Assert.Equal(("pass", 0), (Verdict(run), run.GetProperty("reasons").GetArrayLength()));
        Assert.Equal("pass", (await floor.FigureAsync(1, "peakTemperature", "tc2")).GetProperty("verdict").GetString());
        Assert.Equal(0, (await floor.FigureAsync(1, "timeAboveLiquidus", "tc2")).GetProperty("value").GetDouble());
        Assert.InRange((await floor.FigureAsync(1, "timeAboveLiquidus", "tc1")).GetProperty("value").GetDouble(), 20, 90);
        Assert.Equal(JsonValueKind.Null, (await floor.FigureAsync(1, "soakTime", "tc1")).GetProperty("verdict").ValueKind); // no soak is made up
        double first = floor.Lived.First(l => l.Truth.ProductCelsius.Where((_, place) => place != 1).Max() >= 138).Seconds;
        Assert.Equal(first, await BeginOfAsync(floor, 1, "reflow"), 3.0);
        Assert.Empty(await floor.ToldAsync());
    }

    [Fact]
    public async Task Sensor_that_failed_its_calibration_names_the_boards_whose_verdict_it_changes()
    {
        Scenario drifted = ScenarioLibrary.Find("sensor-seven-drifted")!;
        await using SocketFloor floor = await SocketFloor.OpenAsync(
            drifted with { Runs = [drifted.Runs[0], drifted.Runs[1] with { From = 2, To = 2 }] },
            spec: Spec("""{ "figure": "timeAboveLiquidus", "lower": 40, "channels": ["tc7"] }"""));
        await floor.RunsAsync(2);
        for (int run = 1; run <= 2; run++)
        {
            using HttpResponseMessage named = await floor.Http.PatchAsync(
                new Uri($"/api/v1/cells/1/runs/{run}/record", UriKind.Relative), System.Net.Http.Json.JsonContent.Create(new { by = "Ines", serials = new[] { $"SN-{run}" } }));
            Assert.True(named.IsSuccessStatusCode);
        }

        Assert.All(await floor.RunsListedAsync(), r => Assert.Equal("pass", Verdict(r)));
        JsonElement job = await floor.PostAsync("rejudgements", new { by = "Ines", reason = "sensor 7 failed its calibration", readHigh = new { tc7 = 3.1 } });
        string address = $"rejudgements/jobs/{job.GetProperty("id").GetInt64()}";
        while ((job = await floor.GetAsync(address)).GetProperty("state").GetString() == "running")
        {
            await Task.Delay(20);
        }

        // The list holds those whose verdict is another one now; what was decided of them is open.
        JsonElement changed = Assert.Single((await floor.GetAsync($"rejudgements/{job.GetProperty("number").GetInt64()}")).GetProperty("runs").EnumerateArray());
        Assert.Equal(2, changed.GetProperty("run").GetInt32());
        Assert.Equal(("pass", "fail"), (changed.GetProperty("before").GetString(), changed.GetProperty("after").GetString()));
        Assert.Equal(["SN-2"], Texts(changed.GetProperty("serials")));
        Assert.Equal(JsonValueKind.Null, changed.GetProperty("decision").ValueKind);
        Assert.Equal("pass", Verdict((await floor.RunsListedAsync())[1])); // the verdict of then stays
    }

    [Fact]
    public async Task Good_runs_pass_in_silence()
    {
        Scenario good = ScenarioLibrary.Find("hundred-good-runs")!;
        await using SocketFloor floor = await SocketFloor.OpenAsync(good with { Runs = [new RunStretch(2) { Boards = 2 }] });
        await floor.RunsAsync(3);
        Assert.Empty(await floor.ToldAsync());
        Assert.All((await floor.RunsListedAsync()).Take(3), r => Assert.Equal("pass", Verdict(r)));
    }
}
