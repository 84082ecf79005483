using System.Text.Json;
using Microsoft.AspNetCore.Http;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Live;
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

    [Fact]
    public async Task Thermocouple_that_came_off_is_marked_in_refilled_frames_and_in_exports_as_in_the_stored_curves()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, SimulatedRecord.Configuration(), runs: 2, scenario: "lifting-tape");
        RunRow lifted = cell.Catalogue.Find(1, 2)!;
        JsonElement curves = await Curves(cell, lifted);
        JsonElement mark = Assert.Single(curves.GetProperty("marks").EnumerateArray(), m => m.GetProperty("quality").GetString() == "uncertain:detached");
        double from = lifted.Start.AddSeconds(mark.GetProperty("from_s").GetDouble()).ToUnixMilliseconds(), to = lifted.Start.AddSeconds(mark.GetProperty("to_s").GetDouble()).ToUnixMilliseconds();
        int channel = cell.Host.Definition.Channels.ToList().FindIndex(c => c.Id == "tc6");

        // A page that comes back a run later: each frame of that stretch, over as many answers as it takes.
        (int marked, List<ReadingMark> said) = (0, []);
        Refill refill = cell.Host.Since(0);
        for (; refill.Frames.Length > 0; refill = cell.Host.Since(refill.Frames[^1].Seq))
        {
            said.AddRange(refill.Marks.Where(m => m.Quality == "uncertain:detached"));
            foreach (ScanFrame frame in refill.Frames)
            {
                int quality = (frame.Data[(4 * cell.Host.Definition.Channels.Count) + (channel / 4)] >> (2 * (channel % 4))) & 3;
                bool off = frame.T > from - 1 && frame.T < to + 1;
                Assert.True(quality is 2 or 3 || quality == (off ? 1 : 0), $"{frame.T - from} ms after: {quality}");
                marked += quality == 1 ? 1 : 0;
            }
        }

        Assert.All(said, m => Assert.Equal("tc6", m.Channel));
        Assert.Equal((from, to), (said[0].T, said[^1].To!.Value), (a, b) => Math.Abs(a.Item1 - b.Item1) < 1 && Math.Abs(a.Item2 - b.Item2) < 1);

        // As CSV by its run, and as CSV of everything; the curve file leaves them out and is judged alike.
        string[] rows = Export("run.csv", "--run", "2");
        Assert.Equal(marked, rows.Count(row => row.Contains("uncertain:detached", StringComparison.Ordinal)));
        int quality6 = Array.IndexOf(rows[0].Split(','), "tc6 quality");
        Assert.All(rows.Skip(1), row => Assert.True(row.Split(',')[quality6] != "uncertain:detached" || row.Split(',')[quality6 - 1].Length > 0)); // the value stays
        Assert.Equal(marked, Export("all.csv", "--from", "2000-01-01T00:00:00Z", "--until", "2100-01-01T00:00:00Z").Count(row => row.Contains("uncertain:detached", StringComparison.Ordinal)));

        string[] curveFile = Export("curves.csv", "--run", "2", "--curves");
        int column = Array.FindIndex(curveFile[0].Split(','), head => head.StartsWith("tc6 ", StringComparison.Ordinal));
        Assert.Equal(marked, curveFile.Skip(1).Count(row => row.Split(',')[column].Length == 0));
        Assert.DoesNotContain("detached", string.Concat(Export("whole.csv", "--run", "1")), StringComparison.Ordinal);
    }

    private string[] Export(string name, params string[] what)
    {
        string file = Path.Combine(_folder.FullName, name);
        Assert.Equal(0, ExportCommand.Create().Parse([.. what, "--data", _folder.FullName, "--to-file", file]).Invoke());
        return File.ReadAllLines(file);
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
