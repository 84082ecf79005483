using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Catalogue;

public class TrailTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private readonly RefusingDisk _disk = new() { IsQuick = true };

    [Fact]
    public void A_catalogue_without_a_chain_stays_incomplete_until_the_journal_has_been_lived_through()
    {
        using var folder = new TempFolder();
        string path = folder["thermowatch.sqlite"];
        using (RunCatalogue first = RunCatalogue.Open(path, TimeProvider.System))
        {
            Assert.True(first.IsIncomplete);
            first.Save(RunCatalogueTests.Run(1)); // and then the process ends
        }

        using (RunCatalogue second = RunCatalogue.Open(path, TimeProvider.System))
        {
            Assert.True(second.IsIncomplete);
            second.Completed();
            Assert.False(second.IsIncomplete);
        }

        using RunCatalogue third = RunCatalogue.Open(path, TimeProvider.System);
        Assert.False(third.IsIncomplete);
    }

    [Fact]
    public void Audit_trail_keeps_who_what_and_what_stood_there_before()
    {
        using var folder = new TempFolder();
        AuditEntry first = Entry(1), second = Entry(2) with { Subject = "spec Gate driver", Before = null, Reason = null };
        using (RunCatalogue catalogue = Open(folder))
        {
            Assert.Equal(1, catalogue.Audit(first));
            Assert.Equal(2, catalogue.Audit(second));
        }

        using RunCatalogue again = Open(folder);
        Assert.Equal([second, first], again.LatestAudit(10));
        Assert.Equal([second], again.LatestAudit(10, "spec Gate driver"));
    }

    [Fact]
    public void A_spec_version_never_changes_again()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = Open(folder);
        var spec = new SpecVersion("Gate driver", 3, "{\"limits\":[]}", Sample.Noon, "M. Olsen");
        Assert.Null(catalogue.SaveSpec(spec));
        Assert.Null(catalogue.SaveSpec(spec with { By = "somebody else" }));
        Assert.Contains("new version number", catalogue.SaveSpec(spec with { Json = "{\"limits\":[1]}" }), StringComparison.Ordinal);
        Assert.Equal(spec, catalogue.FindSpec("Gate driver", 3));
        Assert.Null(catalogue.SaveSpec(spec with { Version = 4, Json = "{}" }));
        Assert.Equal([3, 4], catalogue.Specs().Select(version => version.Version));
    }

    [Fact]
    public void A_configuration_gets_a_number_when_it_differs_from_the_one_before()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = Open(folder);
        Assert.Equal(1, catalogue.SaveConfiguration("{\"port\":1}", Sample.Noon, "file"));
        Assert.Equal(1, catalogue.SaveConfiguration("{\"port\":1}", Sample.Noon.AddSeconds(1), "file"));
        Assert.Equal(2, catalogue.SaveConfiguration("{\"port\":2}", Sample.Noon.AddSeconds(2), "file"));
        Assert.Equal(3, catalogue.SaveConfiguration("{\"port\":1}", Sample.Noon.AddSeconds(3), "M. Olsen"));
        Assert.Equal(["{\"port\":1}", "{\"port\":2}", "{\"port\":1}"], catalogue.Configurations(10).Select(version => version.Json));
    }

    [Fact]
    public void Catalogue_that_is_gone_or_damaged_comes_back_from_the_chain()
    {
        foreach (string how in new[] { "gone", "damaged" })
        {
            using var folder = new TempFolder();
            Fill(folder);
            string path = folder["thermowatch.sqlite"];
            if (how == "gone")
            {
                File.Delete(path);
            }
            else
            {
                File.WriteAllBytes(path, new byte[9000]);
            }

            using RunCatalogue again = Open(folder);
            Assert.Contains("gave it back", again.Loss, StringComparison.Ordinal);
            Assert.False(again.IsIncomplete);
            Assert.Equivalent(RunCatalogueTests.Run(7), again.Find(1, 7), strict: true);
            Assert.Equal(2, again.Alarms(1, long.MaxValue, 10).Count);
            Assert.Equal([Entry(1)], again.LatestAudit(10));
            Assert.Equal("{\"port\":1}", again.Configurations(1)[0].Json);
            Assert.Equal(99, again.LatestSeal(1)!.LastSequence);
        }
    }

    [Fact]
    public void Tables_that_a_power_cut_set_back_follow_the_chain_again()
    {
        using var folder = new TempFolder();
        using (RunCatalogue catalogue = Open(folder))
        {
            catalogue.Audit(Entry(1));
        }

        File.Copy(folder["thermowatch.sqlite"], folder["before"]);
        using (RunCatalogue catalogue = Open(folder))
        {
            catalogue.Audit(Entry(2));
            catalogue.Save(RunCatalogueTests.Run(8));
        }

        File.Copy(folder["before"], folder["thermowatch.sqlite"], overwrite: true);
        using RunCatalogue again = Open(folder);
        Assert.Null(again.Loss);
        Assert.Equal([Entry(2), Entry(1)], again.LatestAudit(10));
        Assert.NotNull(again.Find(1, 8));
    }

    [Fact]
    public void Open_run_found_again_by_a_replay_never_replaces_its_end()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = Open(folder);
        RunRow run = RunCatalogueTests.Run(7);
        catalogue.Save(run);
        long before = catalogue.ChainHead.Number;
        catalogue.Save(run with { End = null, EndReason = null, Verdict = null });
        catalogue.Save(run);
        Assert.Equivalent(run, catalogue.Find(1, 7), strict: true);
        Assert.Equal(before, catalogue.ChainHead.Number);
    }

    [Fact]
    public void Full_disk_refuses_whole_and_the_same_call_succeeds_later()
    {
        using var folder = new TempFolder();
        using RunCatalogue catalogue = Open(folder);
        catalogue.Audit(Entry(1));
        _disk.Full = true;
        Assert.Throws<IOException>(() => catalogue.Save(RunCatalogueTests.Run(7)));
        Assert.Null(catalogue.Find(1, 7));
        _disk.Full = false;
        catalogue.Save(RunCatalogueTests.Run(7));
        Assert.Equal(2, catalogue.ChainHead.Number);
        Assert.NotNull(catalogue.Find(1, 7));
    }

    [Fact]
    public void Version_1_catalogue_is_carried_forward_into_the_chain()
    {
        using var folder = new TempFolder();
        File.Copy(Path.Combine(AppContext.BaseDirectory, "Samples", "catalogue-v1.sqlite"), folder["thermowatch.sqlite"]);

        // Nobody asked a run of then for its kind: with product channels, as all of them had, it was a profile.
        RunRow then = RunCatalogueTests.Run(2) with { Kind = RunKind.Profile, Recipe = null, Load = null, StartReason = "" };
        for (int round = 0; round < 2; round++)
        {
            using RunCatalogue catalogue = Open(folder);
            Assert.Null(catalogue.Loss);
            Assert.Equivalent(then, catalogue.Find(1, 2), strict: true);
            Assert.Equal([4, 3, 2, 1], catalogue.Latest(1, 10).Select(run => run.Number));
            Assert.Equal([AlarmState.ReturnedUnacknowledged, AlarmState.Unacknowledged], catalogue.Alarms(1, long.MaxValue, 10).Select(s => s.Event.State));
            Assert.Equal(6, catalogue.ChainHead.Number);
        }

        Assert.All(RecordVerification.OfFolder(folder.Path), part => Assert.Empty(part.Report.Misfits));
        File.Delete(folder["thermowatch.sqlite"]);
        using RunCatalogue again = Open(folder);
        Assert.Equivalent(then, again.Find(1, 2), strict: true);
    }

    [Fact]
    public void A_row_changed_added_or_taken_out_behind_the_chains_back_is_named()
    {
        foreach ((string sql, string named) in new[]
        {
            ("UPDATE runs SET verdict = 'Pass'", "table runs: row 1, column verdict"), ("DELETE FROM alarm_events WHERE id = 1", "table alarm_events: row 1"),
            ("UPDATE audit SET who = 'nobody'", "column who"), ("INSERT INTO audit VALUES (77, 1, 'x', 'x', 'x', 'x', null, null, null)", "not in the chain of events"),
            ("UPDATE configuration_versions SET json = '{}'", "column json"), ("DELETE FROM spec_versions", "table spec_versions: row 1 is missing"),
        })
        {
            using var folder = new TempFolder();
            Fill(folder);
            Assert.All(RecordVerification.OfFolder(folder.Path).Where(part => part.Part != ChainFile.FileName), part => Assert.Empty(part.Report.Misfits));
            Execute(folder["thermowatch.sqlite"], sql);
            Assert.Contains(RecordVerification.OfFolder(folder.Path), part => part.Report.Misfits.Any(misfit => misfit.What.Contains(named, StringComparison.Ordinal)));
        }
    }

    [Fact]
    public void Every_flipped_byte_of_the_catalogue_is_found_or_changes_nothing_that_it_says()
    {
        using var source = new TempFolder();
        Fill(source);
        string name = "thermowatch.sqlite";
        byte[] whole = File.ReadAllBytes(source[name]);
        int found = 0;
        for (int at = 0; at < whole.Length; at += 97)
        {
            using var folder = new TempFolder();
            File.Copy(source[ChainFile.FileName], folder[ChainFile.FileName]);
            byte[] damaged = [.. whole];
            damaged[at] ^= (byte)(1 << at % 8);
            File.WriteAllBytes(folder[name], damaged);
            if (RecordVerification.OfFolder(folder.Path).Any(part => part.Part == name && !part.Report.IsWhole))
            {
                found++;
                continue;
            }

            using RunCatalogue catalogue = Open(folder);
            Assert.Equivalent(RunCatalogueTests.Run(7), catalogue.Find(1, 7), strict: true);
            Assert.Equal([Entry(1)], catalogue.LatestAudit(10));
            Assert.Equal(2, catalogue.Alarms(1, long.MaxValue, 10).Count);
        }

        Assert.True(found > 20, $"only {found} changes were found");
    }

    internal static AuditEntry Entry(int index) =>
        new(Sample.Noon.AddSeconds(index), "M. Olsen", "office-3", "limit.changed", $"limit {index}", "245", "246", "sheet 4 rev B \u2013 \u00e4");

    private void Fill(TempFolder folder)
    {
        using RunCatalogue catalogue = Open(folder);
        catalogue.Save(RunCatalogueTests.Run(7));
        var raised = new AlarmEvent(Sample.Noon, "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, true, 246.5, 245, 7);
        catalogue.SaveAlarm(1, raised);
        catalogue.SaveAlarm(1, raised with { Time = Sample.Noon.AddSeconds(1), State = AlarmState.Acknowledged });
        catalogue.Audit(Entry(1));
        catalogue.SaveSpec(new SpecVersion("Gate driver", 3, "{\"limits\":[]}", Sample.Noon, "M. Olsen"));
        catalogue.SaveConfiguration("{\"port\":1}", Sample.Noon, "file");
        catalogue.SaveSeal(new SealedUpTo(1, 99, new string('a', 64)));
        catalogue.Completed();
    }

    private RunCatalogue Open(TempFolder folder) => RunCatalogue.Open(folder["thermowatch.sqlite"], _time, _disk);

    private static void Execute(string path, string sql)
    {
        using var connection = new SqliteConnection($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }
}
