using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Catalogue;

public class RunCatalogueTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    [Fact]
    public void Run_comes_back_whole()
    {
        using var folder = new TempFolder();
        RunRow run = Run(7);
        using (RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time))
        {
            catalogue.Save(run);
            Assert.Equivalent(run, catalogue.Find(1, 7), strict: true);
        }

        using RunCatalogue again = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        Assert.Equivalent(run, again.Find(1, 7), strict: true);
        Assert.Null(again.Find(1, 8));
        Assert.Null(again.Find(2, 7));
        Assert.Null(again.Loss);
    }

    [Fact]
    public void Saving_again_replaces_the_run()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        catalogue.Save(new RunRow { Cell = 1, Number = 7, Carrier = "A", Start = Sample.Noon, FirstSequence = 5 });
        Assert.Equivalent(new RunRow { Cell = 1, Number = 7, Carrier = "A", Start = Sample.Noon, FirstSequence = 5 }, catalogue.Find(1, 7), strict: true);
        catalogue.Save(Run(7));
        Assert.Equivalent(Run(7), Assert.Single(catalogue.Latest(1, 10)), strict: true);
    }

    [Fact]
    public void Latest_are_the_newest_of_that_cell_first()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        foreach (long number in new long[] { 3, 1, 2 })
        {
            catalogue.Save(Run(number));
        }

        catalogue.Save(Run(9) with { Cell = 2 });
        Assert.Equal([3, 2], catalogue.Latest(1, 2).Select(run => run.Number));
        Assert.Equal([2, 3], catalogue.Between(1, Sample.Noon.AddSeconds(1000), Sample.Noon.AddSeconds(9999)).Select(run => run.Number));
    }

    [Fact]
    public void Runs_are_found_by_what_is_asked_of_them_page_by_page()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        for (long number = 1; number <= 9; number++)
        {
            catalogue.Save(Run(number) with { Verdict = number % 3 == 0 ? Verdict.Pass : Verdict.Fail, SpecName = number > 5 ? "Bus bar 50%" : "Gate driver", Carrier = number == 4 ? "B" : "A" });
        }

        catalogue.Save(Run(4) with { Cell = 2 });
        Assert.Equal([9, 8, 7], Found(new RunQuery(1) { Limit = 3 }));
        Assert.Equal([6, 5, 4], Found(new RunQuery(1) { Limit = 3, Before = 7 }));
        Assert.Equal([9, 6, 3], Found(new RunQuery(1) { Verdict = Verdict.Pass }));
        Assert.Equal([9, 8, 7, 6], Found(new RunQuery(1) { SpecContains = "bar 50%" }));
        Assert.Equal([4], Found(new RunQuery(1) { Carrier = "B" }));
        Assert.Equal([5, 4], Found(new RunQuery(1) { From = Run(4).Start, To = Run(5).Start }));
        Assert.Equal((null, 2L), catalogue.Neighbours(1, 1));
        Assert.Equal((8L, null), catalogue.Neighbours(1, 9));

        long[] Found(RunQuery query) => [.. catalogue.Search(query).Select(run => run.Number)];
    }

    [Fact]
    public void Alarm_history_comes_back_newest_first()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        var raised = new AlarmEvent(Sample.Noon, "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, true, 246.5, 245, 7);
        var gone = new AlarmEvent(Sample.Noon.AddSeconds(3), "tooHot/tc1", "tooHot", null, AlarmState.ReturnedUnacknowledged, false, null, null, null);
        catalogue.SaveAlarm(1, raised);
        catalogue.SaveAlarm(1, gone);
        catalogue.SaveAlarm(2, raised);
        IReadOnlyList<AlarmStep> steps = catalogue.Alarms(1, long.MaxValue, 10);
        Assert.Equal([gone, raised], steps.Select(s => s.Event));
        Assert.Equal([raised], catalogue.Alarms(1, steps[0].Id, 10).Select(s => s.Event));
    }

    [Fact]
    public void Who_put_an_alarm_aside_until_when_and_why_comes_back()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        AlarmEvent shelved = new AlarmEvent(Sample.Noon, "limit/A/cycleTime", "limit", "tc1", AlarmState.Shelved, false, 246.5, 245, 7)
        {
            Signal = AlarmSignal.Shelve,
            Priority = AlarmPriority.Low,
            By = "Kim",
            Comment = "gauge is being \"replaced\"",
            Until = Sample.Noon.AddSeconds(600),
            Deadline = Sample.Noon.AddSeconds(30),
            Figure = "cycleTime",
        };
        AlarmEvent held = shelved with { Signal = AlarmSignal.ConditionActive }; // at the same moment, in the same state: both stand
        catalogue.SaveAlarm(1, shelved);
        catalogue.SaveAlarm(1, held);
        Assert.Equal([held, shelved], catalogue.Alarms(1, long.MaxValue, 10).Select(s => s.Event));
        Assert.Equal([shelved, held], catalogue.AlarmsBetween(1, Sample.Noon, Sample.Noon.AddSeconds(1)));
        Assert.Empty(catalogue.AlarmsBetween(1, Sample.Noon.AddSeconds(1), Sample.Noon.AddSeconds(2)));
    }

    [Fact]
    public void A_step_of_an_alarm_that_a_replay_finds_again_stands_once()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(folder["thermowatch.sqlite"], _time);
        var raised = new AlarmEvent(Sample.Noon, "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, true, 246.5, 245, 7);
        catalogue.SaveAlarm(1, raised);
        catalogue.SaveAlarm(1, raised);
        Assert.Equal([raised], catalogue.Alarms(1, long.MaxValue, 10).Select(s => s.Event));
    }

    [Fact]
    public void Catalogue_of_a_newer_program_is_refused_and_left_alone()
    {
        using var folder = new TempFolder();
        string path = folder["thermowatch.sqlite"];
        RunCatalogue.Open(path, _time).Dispose();
        Execute(path, "INSERT INTO migrations VALUES (1000, 'of a later version', '')");
        byte[] before = File.ReadAllBytes(path);
        Assert.Throws<InvalidDataException>(() => RunCatalogue.Open(path, _time));
        Assert.Equal(before, File.ReadAllBytes(path));
    }

    [Fact]
    public void Damaged_catalogue_is_set_aside_and_said()
    {
        using var folder = new TempFolder();
        string path = folder["thermowatch.sqlite"];
        using (RunCatalogue catalogue = RunCatalogue.Open(path, _time))
        {
            for (int number = 1; number < 200; number++)
            {
                catalogue.Save(Run(number));
            }
        }

        byte[] bytes = File.ReadAllBytes(path);
        Array.Fill(bytes, (byte)0xA5, bytes.Length / 2, 4096);
        File.WriteAllBytes(path, bytes);
        using RunCatalogue again = RunCatalogue.Open(path, _time);
        Assert.Contains("set aside", again.Loss, StringComparison.Ordinal);
        Assert.Equal(bytes, File.ReadAllBytes(Assert.Single(Directory.GetFiles(folder.Path, "*.damaged-*"))));
        again.Save(Run(1));
        Assert.NotNull(again.Find(1, 1));
    }

    internal static RunRow Run(long number) => new()
    {
        Cell = 1,
        Number = number,
        Carrier = "A",
        Kind = RunKind.Production,
        Recipe = 14,
        Load = 4,
        StartReason = "signal",
        Start = Sample.Noon.AddSeconds(number * 600),
        End = Sample.Noon.AddSeconds(number * 600 + 360),
        EndReason = "cooled",
        FirstSequence = number * 4000,
        LastSequence = number * 4000 + 3600,
        SpecName = "Gate driver",
        SpecVersion = 3,
        Verdict = Verdict.Fail,
        Reasons = ["peakTemperature above its limit"],
        Figures =
        [
            new FigureResult { Figure = "peakTemperature", ChannelId = "tc1", Value = 246.1 + 0.2, Unit = "degC", Upper = 245, Verdict = Verdict.Fail, Notes = ["marginal"], Margin = -1.3, U = 1.9, Severity = Severity.Fail, Final = true },
            new FigureResult { Figure = "pumpDownTime", Unit = "s", Reason = "neverReached" },
        ],
        Phases = [new PhaseSpan(PhaseTrack.Thermal, "preheat", Sample.Noon, Sample.Noon.AddSeconds(90)), new PhaseSpan(PhaseTrack.Vacuum, "hold", Sample.Noon, null)],
        Notes = ["warmStart"],
    };

    private static void Execute(string path, string sql)
    {
        using var connection = new SqliteConnection($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }
}
