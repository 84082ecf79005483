using System.CommandLine;
using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Commands.Recalibrate;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Tests.Rejudging;

public sealed class RejudgeTests : IClassFixture<RejudgeTests.Record>, IDisposable
{
    private const int Runs = 12;
    private readonly Record _record;
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("rejudge");

    public RejudgeTests(Record record) => _record = record;

    public void Dispose() => _folder.Delete(recursive: true);

    public sealed class Record : IAsyncLifetime
    {
        public string Path { get; } = Directory.CreateTempSubdirectory("rejudge-record").FullName;

        public async ValueTask InitializeAsync() => await SimulatedRecord.MakeAsync(Path, Runs);

        public ValueTask DisposeAsync()
        {
            Directory.Delete(Path, recursive: true);
            return ValueTask.CompletedTask;
        }
    }

    [Fact]
    public void By_the_same_rules_every_figure_comes_out_as_it_stands_in_the_record()
    {
        using OpenRecord record = Open();
        Assert.All(new RejudgeWork(record.Source, new RejudgeOrder()).Run(2, default), run =>
        {
            Assert.Null(run.Problem);
            Assert.Empty(run.Changed);
            Assert.Equal(run.Before, run.After);
            Assert.Equal(0, run.Moved);
        });
    }

    [Fact]
    public void Runs_judged_piece_by_piece_come_out_as_those_of_the_whole_record()
    {
        using OpenRecord record = Open();
        RunRow first = record.Source.Catalogue.Find(1, 5)!;
        RunRow last = record.Source.Catalogue.Find(1, 7)!;
        var high = new Dictionary<string, double> { ["tc7"] = 5 };
        RejudgedRun[] whole = [.. new RejudgeWork(record.Source, new RejudgeOrder { ReadHigh = high }).Run(1, default)];
        RejudgedRun[] part = [.. new RejudgeWork(record.Source, new RejudgeOrder { ReadHigh = high, From = first.Start.AddSeconds(1), To = last.End!.Value.AddSeconds(-1) }).Run(2, default)];
        Assert.Equal([5L, 6, 7], part.Select(run => run.Run));
        Assert.All(part, run =>
        {
            RejudgedRun same = whole.Single(other => other.Run == run.Run);
            Assert.Equal((same.Before, same.After, same.Moved), (run.Before, run.After, run.Moved));
            Assert.Equal(same.Figures, run.Figures);
        });
    }

    [Fact]
    public void Sensor_that_read_high_changes_the_verdicts_of_the_runs_that_leaned_on_it_and_names_their_boards()
    {
        string data = Copy();
        using (OpenRecord record = Open(data))
        {
            RunBook book = record.Source.Catalogue.Book;
            book.Edit(1, 3, new RunRecordEdit { Product = "Inverter", Serials = ["SN-31", "SN-32"] }, SimulatedRecord.Born, "K. Lang", null);
            book.Decide(1, 3, new Decision(SimulatedRecord.Born, DecisionKind.Release, "K. Lang", "all limits met"));
        }

        (int exit, string output, string error) = Run("--data", data, "--read-high", "tc7=5", "--json");
        Assert.All(error.Split('\n', StringSplitOptions.RemoveEmptyEntries), line => Assert.Matches(@"^thermowatch rejudge: \d+ of \d+ runs, \d+ with another verdict", line));
        Assert.Equal(1, exit);
        using JsonDocument json = JsonDocument.Parse(output);
        Assert.Equal(Runs, json.RootElement.GetProperty("judged").GetInt32());
        JsonElement run = json.RootElement.GetProperty("runs").EnumerateArray().Single(r => r.GetProperty("run").GetInt64() == 3);
        Assert.Equal(("pass", "fail", "release"), (Text(run, "before"), Text(run, "after"), Text(run, "decision")));
        Assert.Equal(["SN-31", "SN-32"], run.GetProperty("serials").EnumerateArray().Select(s => s.GetString()));
        Assert.Equal(("calibration tc7", "-5 beside its own"), (Text(run.GetProperty("changed")[0], "field"), Text(run.GetProperty("changed")[0], "to")));
        JsonElement peak = run.GetProperty("figures").EnumerateArray().Single(f => Text(f, "figure") == "sustainedPeak" && Text(f, "channel") == "tc7");
        Assert.Equal(5, peak.GetProperty("before").GetProperty("value").GetDouble() - peak.GetProperty("after").GetProperty("value").GetDouble(), 1e-9);
        Assert.Equal(("pass", "fail"), (Text(peak.GetProperty("before"), "verdict"), Text(peak.GetProperty("after"), "verdict")));
        Assert.DoesNotContain(run.GetProperty("figures").EnumerateArray(), f => Text(f, "channel") == "tc1"); // the other sensors stay as they were

        (_, string table, _) = Run("--data", data, "--read-high", "tc7=5");
        Assert.Contains("run 3, carrier A", table, StringComparison.Ordinal);
        Assert.Contains("pass -> fail; Inverter; SN-31 SN-32; decided: release", table, StringComparison.Ordinal);
        Assert.Contains("The verdicts of then stay; nothing was kept.", table, StringComparison.Ordinal);
    }

    // A calibration of one point is an offset: judged with it a run must be what the other verb, which finds runs anew, makes of it.
    [Fact]
    public void Calibration_gives_the_figures_that_recalibrating_one_run_gives()
    {
        var offset = new Calibration([new CalibrationPoint(0, -5)]) { Version = 1, ValidFrom = default };
        var calibrations = new Dictionary<string, Calibration> { ["tc7"] = offset };
        using OpenRecord record = Open();
        RejudgedRun ours = new RejudgeWork(record.Source, new RejudgeOrder { Calibrations = calibrations }).Run(1, default).Single(run => run.Run == 4);
        JudgedRun other = record.Find(4, out _)!.Judge(calibrations)!;
        Assert.NotEmpty(ours.Figures);
        Assert.Equal(other.Picture.Verdict, ours.After);
        Assert.All(ours.Figures.Where(f => f.Channel == "tc7" && f.After?.Value is not null), shift => Assert.Contains(
            other.Picture.Figures, f => f.Figure == shift.Figure && f.ChannelId == "tc7" && Math.Abs(f.Value!.Value - shift.After!.Value!.Value) < 1e-6));
    }

    [Fact]
    public void Kept_result_stands_beside_the_verdicts_of_then_and_the_record_verifies()
    {
        string data = Copy();
        string spec = Path.Combine(_folder.FullName, "spec.json");
        JsonNode changed = JsonNode.Parse(SimulatedRecord.SpecText)!;
        changed["version"] = 4;
        changed["limits"]!.AsArray().Single(l => l!["figure"]!.GetValue<string>() == "pumpDownTime")!["upper"] = 5;
        File.WriteAllText(spec, changed.ToJsonString());

        Assert.Equal(2, Run("--data", data, "--spec", spec, "--keep").Exit); // nobody answers for it
        (int exit, string output, _) = Run("--data", data, "--spec", spec, "--keep", "--by", "A. Weber", "--reason", "8D 117", "--json");
        Assert.Equal(1, exit);
        Assert.Equal(1, JsonDocument.Parse(output).RootElement.GetProperty("number").GetInt64());
        using (OpenRecord record = Open(data))
        {
            RunCatalogue catalogue = record.Source.Catalogue;
            RejudgementSummary kept = Assert.Single(catalogue.Rejudgements.All(1, 10));
            Assert.Equal(("A. Weber", "8D 117", Runs), (kept.By, kept.Reason, kept.Runs));
            Assert.Equal(("spec", "Traction board, version 4"), (kept.Asked[0].Field, kept.Asked[0].To));
            (long number, RejudgedRun judged) = Assert.Single(catalogue.Rejudgements.Of(1, 2));
            Assert.Equal((1L, Verdict.Pass, Verdict.Fail), (number, judged.Before, judged.After));
            Assert.Equal(new FieldChange("spec", "Traction board, version 3", "Traction board, version 4"), judged.Changed[0]);
            Assert.Contains(judged.Figures, f => f is { Figure: "pumpDownTime", Before: { Upper: 20, Verdict: Verdict.Pass }, After: { Upper: 5, Verdict: Verdict.Fail } } && f.Before.Value == f.After.Value);
            RunRow row = catalogue.Find(1, 2)!;
            Assert.Equal((Verdict.Pass, 3), (row.Verdict!.Value, row.SpecVersion));
            Assert.NotNull(catalogue.FindSpec("Traction board", 4)); // what judged stays to be found
        }

        Assert.Equal(0, Invoke(VerifyCommand.Create(), "--data", data).Exit);
    }

    [Fact]
    public void Run_whose_readings_were_taken_out_is_named_and_not_judged()
    {
        string data = Copy();
        using (DataFolder folder = DataFolder.Open(data, TimeProvider.System).Folder!)
        {
            using OpenedJournal opened = new(folder);
            RunRow run = opened.Catalogue.Find(1, 6)!;
            SealedStretch block = opened.Journal.SealedStretches().Last(s => s.FirstSequence <= run.LastSequence && s.LastSequence >= run.FirstSequence);
            Assert.True(opened.Journal.Remove(block.FirstSequence) > 0);
        }

        using OpenRecord record = Open(data);
        RejudgedRun[] runs = [.. new RejudgeWork(record.Source, new RejudgeOrder()).Run(2, default)];
        RejudgedRun lost = runs.Single(r => r.Run == 6);
        Assert.Contains("taken out of the record", lost.Problem, StringComparison.Ordinal);
        Assert.Null(lost.After);
        Assert.All(runs.Where(r => r.Run is < 6 or > 7), r => Assert.Equal((null, 0), (r.Problem, r.Moved)));
    }

    [Fact]
    public void Work_that_is_ended_keeps_nothing()
    {
        using OpenRecord record = Open();
        using var stop = new CancellationTokenSource();
        var endsSoon = record.Source with { ReadFrom = sequence => Ending(record.Source.ReadFrom(sequence)) };
        Assert.Throws<OperationCanceledException>(() => new RejudgeWork(endsSoon, new RejudgeOrder()).Run(2, stop.Token));
        Assert.Empty(record.Source.Catalogue.Rejudgements.All(1, 10));

        IEnumerable<JournalEntry> Ending(IEnumerable<JournalEntry> entries)
        {
            foreach (JournalEntry entry in entries)
            {
                if (entry.Sequence == 5000)
                {
                    stop.Cancel();
                }

                yield return entry;
            }
        }
    }

    [Theory]
    [InlineData("no channel tc9", "--read-high", "tc9=1")]
    [InlineData("such as tc7=3.1", "--read-high", "tc7")]
    [InlineData("cannot be read", "--spec", "nowhere.json")]
    public void What_cannot_be_asked_is_said(string problem, params string[] arguments)
    {
        (int exit, string output, string error) = Run(["--data", _record.Path, .. arguments]);
        Assert.Equal((2, ""), (exit, output));
        Assert.Contains(problem, error, StringComparison.Ordinal);
    }

    // How long it takes is measured with more runs when asked for: THERMOWATCH_REJUDGE=400. With THERMOWATCH_REJUDGE_RECORD=FOLDER the
    // record is made there once, and stays.
    [Fact]
    public async Task Long_record_is_judged_once_more_at_a_pace_that_is_told()
    {
        int runs = int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_REJUDGE"), out int asked) ? asked : 0;
        Assert.SkipWhen(runs == 0, "Set THERMOWATCH_REJUDGE to a number of runs to measure the pace.");
        ITestOutputHelper output = TestContext.Current.TestOutputHelper!;
        string data = Environment.GetEnvironmentVariable("THERMOWATCH_REJUDGE_RECORD") ?? Path.Combine(_folder.FullName, "long");
        if (!Directory.Exists(data))
        {
            await LongRecord.MakeAsync(data, runs, output.WriteLine);
        }

        using OpenRecord record = Open(data);
        long read = TimeProvider.System.GetTimestamp();
        long entries = record.Source.ReadFrom(1).LongCount();
        output.WriteLine("{0} entries read alone, by one thread, in {1:0.00} s", entries, TimeProvider.System.GetElapsedTime(read).TotalSeconds);
        for (int round = 0; round < (runs > 2000 ? 1 : 3); round++)
        {
            TimeSpan cpu = Environment.CpuUsage.TotalTime;
            long started = TimeProvider.System.GetTimestamp();
            RejudgedRun[] judged = [.. new RejudgeWork(record.Source, new RejudgeOrder { ReadHigh = new Dictionary<string, double> { ["tc7"] = 3.1 } })
                .Run(Environment.ProcessorCount, TestContext.Current.CancellationToken)];
            double seconds = TimeProvider.System.GetElapsedTime(started).TotalSeconds;
            Assert.Equal(runs, judged.Length);
            Assert.DoesNotContain(judged, run => run.Problem is not null);
            output.WriteLine(
                "{0} runs in {1:0.00} s: {2:0} runs/s, {3:0.0} ms of processor time a run", runs, seconds, runs / seconds, (Environment.CpuUsage.TotalTime - cpu).TotalMilliseconds / runs);
        }
    }

    private static string? Text(JsonElement json, string name) => json.GetProperty(name).GetString();

    private OpenRecord Open(string? data = null) => OpenRecord.Of(data ?? _record.Path, 1, TimeProvider.System, TextWriter.Null, out _, out _)!;

    private string Copy()
    {
        string data = Path.Combine(_folder.FullName, "data");
        foreach (string file in Directory.EnumerateFiles(_record.Path, "*", SearchOption.AllDirectories))
        {
            string to = Path.Combine(data, Path.GetRelativePath(_record.Path, file));
            Directory.CreateDirectory(Path.GetDirectoryName(to)!);
            File.Copy(file, to);
        }

        return data;
    }

    private static (int Exit, string Output, string Error) Run(params string[] arguments) => Invoke(RejudgeCommand.Create(), arguments);

    private static (int Exit, string Output, string Error) Invoke(Command command, params string[] arguments)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int exit = command.Parse(arguments).Invoke(new InvocationConfiguration { Output = output, Error = error });
        return (exit, output.ToString(), error.ToString());
    }

    private sealed class OpenedJournal(DataFolder folder) : IDisposable
    {
        public RunCatalogue Catalogue { get; } = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);

        public CellJournal Journal { get; } = CellJournal.Open(
            folder.JournalPath(1), SimulatedRecord.Configuration().Cells[0].Definition, TimeProvider.System, new JournalOptions { SealInBackground = false });

        public void Dispose()
        {
            Journal.Dispose();
            Catalogue.Dispose();
        }
    }
}
