using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Catalogue;

/// <summary>Stores written by the program as it was when each version of the catalogue was the newest; they are never made again.</summary>
public class OldCatalogueTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 4, 2, 12, 0, 0, TimeSpan.Zero));

    public static TheoryData<int> Versions => [2, 3, 4, 5, 6];

    [Theory]
    [MemberData(nameof(Versions))]
    public void Store_of_that_version_is_carried_forward_whole(int version)
    {
        using TempFolder folder = Unpack(version);
        for (int round = 0; round < 2; round++) // the second opening finds it carried forward
        {
            using RunCatalogue catalogue = Open(folder);
            Assert.Null(catalogue.Loss);
            AssertWhole(catalogue, version);
        }

        AssertFits(folder);
    }

    [Theory]
    [MemberData(nameof(Versions))]
    public void Store_of_that_version_comes_back_from_its_chain(int version)
    {
        using TempFolder folder = Unpack(version);
        Open(folder).Dispose();
        File.Delete(folder["thermowatch.sqlite"]);
        using RunCatalogue again = Open(folder);
        AssertWhole(again, version);
        AssertFits(folder);
    }

    private static void AssertWhole(RunCatalogue catalogue, int version)
    {
        // A run of before version 4 was not asked for its kind: with product channels, as all of them had, it was a profile.
        RunRow run = RunCatalogueTests.Run(7);
        run = version >= 4 ? run : run with { Kind = RunKind.Profile, Recipe = null, Load = null, StartReason = "" };
        Assert.Equivalent(run, catalogue.Find(1, 7), strict: true);
        Assert.Equal([7, 2], catalogue.Latest(1, 10).Select(r => r.Number));

        Assert.Equal(
            version >= 5 // from then on a step says what happened; whoever wrote these two left it at its first value
                ? [(AlarmState.Acknowledged, AlarmSignal.ConditionBegins, "Ines"), (AlarmState.Unacknowledged, AlarmSignal.ConditionBegins, "")]
                : [(AlarmState.Acknowledged, AlarmSignal.Acknowledge, ""), (AlarmState.Unacknowledged, AlarmSignal.ConditionActive, "")],
            catalogue.Alarms(1, long.MaxValue, 10).Select(step => (step.Event.State, step.Event.Signal, step.Event.By)));

        RunRecord record = catalogue.Book.Record(1, 7);
        Assert.Equal("Inverter stage", record.Product);
        Assert.Equal(["A1"], record.Serials);
        Assert.Equal("scanner", Assert.Single(catalogue.Book.Changes(1, 7)).By);
        Assert.Equal([(1, 7L)], catalogue.Book.PassesOf("A1"));
        Assert.Equal([new Decision(Sample.Noon, DecisionKind.Hold, "Ines", "too long above liquidus")], catalogue.Book.Decisions(1, 7));
        Assert.Equal([new ReferenceRelease(2, Sample.Noon, "Ines", "first article")], catalogue.Book.References(1));
        Assert.Equal(new ServiceEntry(Sample.Noon, ServiceKind.Oil, "Jon", "changed", 500, "O-3"), Assert.Single(catalogue.Book.ServiceLog(1)).Entry);

        if (version >= 3)
        {
            Assert.Equal([TrailTests.Entry(1)], catalogue.LatestAudit(10));
            Assert.Equal("{\"port\":1}", Assert.Single(catalogue.Configurations(10)).Json);
            Assert.Equal(99, catalogue.LatestSeal(1)!.LastSequence);
        }

        RejudgementSummary[] judged = [.. catalogue.Rejudgements.All(1, 10)];
        Assert.Equal(version >= 6 ? ["sensor 7"] : [], judged.Select(j => j.Reason));
    }

    // The seal in these stores tells of a cell whose readings were never part of them.
    private static void AssertFits(TempFolder folder) =>
        Assert.DoesNotContain(RecordVerification.OfFolder(folder.Path).SelectMany(part => part.Report.Misfits), misfit => misfit.File != "cells/1");

    private RunCatalogue Open(TempFolder folder) => RunCatalogue.Open(folder["thermowatch.sqlite"], _time);

    private static TempFolder Unpack(int version)
    {
        TempFolder folder = new();
        foreach (string file in Directory.GetFiles(Path.Combine(AppContext.BaseDirectory, "Samples", $"catalogue-v{version}")))
        {
            File.Copy(file, folder[Path.GetFileName(file)]);
        }

        return folder;
    }
}
