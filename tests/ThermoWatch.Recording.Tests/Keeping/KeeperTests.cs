using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Keeping;
using ThermoWatch.Recording.Tests.Catalogue;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Keeping;

/// <summary>A record of 40 blocks of 100 scans, 10 s each; entries 1001-1500 and 2501-3000 are runs; a snapshot stands in every fourth block.</summary>
public sealed class KeeperTests : IDisposable
{
    private const int Entries = 4000, BlockEntries = 100;

    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private readonly RefusingDisk _quick = new() { IsQuick = true };
    private readonly TempFolder _data = new();
    private readonly RunCatalogue _catalogue;
    private readonly CellJournal _journal;
    private long _free = 10L << 30;

    public KeeperTests()
    {
        _catalogue = RunCatalogue.Open(_data["thermowatch.sqlite"], _time, _quick);
        _catalogue.Save(RunCatalogueTests.Run(1) with { FirstSequence = 1001, LastSequence = 1500 });
        _catalogue.Save(RunCatalogueTests.Run(2) with { FirstSequence = 2501, LastSequence = 3000 });
        _journal = CellJournal.Open(_data["cells/1/journal"], Sample.Cell, _time, new JournalOptions { SealInBackground = false, BlockEntries = BlockEntries }, _quick);
        for (int i = 1; i <= Entries; i++)
        {
            if (i % 400 == 50)
            {
                _journal.AppendSnapshot(Sample.Scan(i).Time, "state"u8);
            }
            else
            {
                _journal.Append(Sample.Scan(i));
            }

            if (i == Entries - 1)
            {
                _journal.CloseSegment();
            }
        }

        _journal.SealClosed();
    }

    public void Dispose()
    {
        _journal.Dispose();
        _catalogue.Dispose();
        _data.Dispose();
    }

    [Fact]
    public void Old_time_between_runs_goes_and_runs_with_the_snapshot_before_them_stay()
    {
        _time.Advance(TimeSpan.FromDays(100));
        long given = Keeper(new KeepingRules { IdleAge = TimeSpan.FromDays(90) }).RemoveIdle();
        Assert.True(given > 0);

        // Run 1 begins in block 11 (1001-1100), the snapshot before it is entry 850; run 2 in block 26, its snapshot entry 2450. The newest snapshot is 3650.
        JournalEntry[] entries = [.. _journal.ReadFrom(1)];
        Assert.Equal([(1, 800), (1501, 2400), (3001, 3600)], Gaps(entries));
        Assert.All(entries.OfType<InputEntry>(), entry => Sample.AssertSame(Sample.Scan((int)entry.Sequence), entry.Input));
        AssertWhole();
        Assert.Equal(given, _journal.SealedStretches().Where(block => block.IsRemoved).Sum(block => block.Bytes - 80));
        Assert.Equal(0, Keeper(new KeepingRules { IdleAge = TimeSpan.FromDays(90) }).RemoveIdle());
    }

    [Fact]
    public void Nothing_young_goes_however_little_room_there_is()
    {
        _free = 0;
        Assert.Equal(0, Keeper(new KeepingRules { IdleAge = TimeSpan.Zero, LeastFreeBytes = 1L << 40 }).RemoveIdle());
    }

    [Fact]
    public void For_room_the_oldest_goes_first_and_no_more_than_is_needed()
    {
        _time.Advance(TimeSpan.FromDays(2));
        _free = 1000;
        long oneBlock = _journal.SealedStretches()[0].Bytes;
        long given = Keeper(new KeepingRules { LeastFreeBytes = 1000 + 2 * oneBlock }).RemoveIdle();
        (long First, long Last) gap = Assert.Single(Gaps([.. _journal.ReadFrom(1)]));
        Assert.Equal(1, gap.First);
        Assert.InRange(given, 2 * oneBlock - 200, 4 * oneBlock);
        AssertWhole();
    }

    [Fact]
    public void What_went_is_still_gone_after_reopening_and_the_chain_says_why()
    {
        _time.Advance(TimeSpan.FromDays(100));
        Keeper(new KeepingRules { IdleAge = TimeSpan.FromDays(90) }).RemoveIdle();
        _journal.Dispose();
        using CellJournal again = CellJournal.Open(_data["cells/1/journal"], Sample.Cell, _time, new JournalOptions { SealInBackground = false, BlockEntries = BlockEntries }, _quick);
        Assert.Empty(again.Losses);
        Assert.Equal([(1, 800), (1501, 2400), (3001, 3600)], Gaps([.. again.ReadFrom(1)]));
        Assert.Contains("idle for more than 90 days", _catalogue.Removals(1, 1)[0].Why, StringComparison.Ordinal);
        Overview overview = again.ReadOverview(0, 0, Sample.Noon, Sample.Noon.AddSeconds(500), 100);
        Assert.Empty(overview.Damaged);
        Assert.All(again.ReadScans(Sample.Noon, Sample.Noon.AddSeconds(500), Assert.Fail), columns => Assert.NotEqual(0, columns.Count));
        Assert.Equal(Entries + 1, again.Append(Sample.Scan(Entries + 1)));
    }

    [Fact]
    public void A_run_goes_only_by_somebodys_reasoned_decision_and_leaves_its_row()
    {
        RecordKeeper keeper = Keeper(new KeepingRules());
        Assert.NotNull(keeper.RemoveRun(1, 1, "", "office-3", "why"));
        Assert.NotNull(keeper.RemoveRun(1, 1, "M. Olsen", "office-3", " "));
        Assert.Contains("no run 9", keeper.RemoveRun(1, 9, "M. Olsen", "office-3", "why"), StringComparison.Ordinal);
        Assert.Empty(_catalogue.Removals(1, 10));

        Assert.Null(keeper.RemoveRun(1, 1, "M. Olsen", "office-3", "customer's data, agreed 2026-02-27"));
        Assert.Equal([(1001, 1500)], Gaps([.. _journal.ReadFrom(1)]));
        Assert.NotNull(_catalogue.Find(1, 1));
        AuditEntry audit = Assert.Single(_catalogue.LatestAudit(10));
        Assert.Equal(("M. Olsen", "run.removed", "customer's data, agreed 2026-02-27"), (audit.Who, audit.Action, audit.Reason));
        Assert.All(_catalogue.Removals(1, 10), note => Assert.Equal(1, note.Run));
        AssertWhole();
    }

    [Fact]
    public void What_would_be_lost_is_said_before_it_is()
    {
        RecordKeeper keeper = Keeper(new KeepingRules());
        SealedStretch[] blocks = [.. _journal.SealedStretches().Where(block => block.FirstSequence is >= 1001 and <= 1500)];
        RunRemoval plan = keeper.PlanRemoval(1, 1);
        Assert.Equal((null, 1001, 1500, 500, blocks.Sum(block => block.Bytes), 0), (plan.Problem, plan.FirstSequence, plan.LastSequence, plan.Entries, plan.Bytes, plan.EntriesThatStay));
        Assert.Equal(Entries, _journal.ReadFrom(1).Count());

        _catalogue.Save(RunCatalogueTests.Run(3) with { FirstSequence = 1450, LastSequence = 1520 }); // of another carrier
        plan = keeper.PlanRemoval(1, 1);
        Assert.Equal((null, 400, 100), (plan.Problem, plan.Entries, plan.EntriesThatStay));
        Assert.Null(keeper.RemoveRun(1, 1, "M. Olsen", "office-3", "why"));
        Assert.Contains("has left the record already", keeper.PlanRemoval(1, 1).Problem, StringComparison.Ordinal);
        Assert.NotNull(keeper.RemoveRun(1, 1, "M. Olsen", "office-3", "why"));
        Assert.Single(_catalogue.LatestAudit(10));
    }

    [Theory]
    [InlineData(3601, 3700, true)] // no snapshot stands behind it
    [InlineData(2501, 3000, false)]
    public void A_run_that_a_restart_would_need_stays(long first, long last, bool isNeeded)
    {
        _catalogue.Save(RunCatalogueTests.Run(2) with { FirstSequence = first, LastSequence = last });
        Assert.Equal(isNeeded, Keeper(new KeepingRules()).PlanRemoval(1, 2).Problem?.StartsWith("A restart would still need", StringComparison.Ordinal) ?? false);
        _catalogue.Save(RunCatalogueTests.Run(4) with { FirstSequence = 2700, LastSequence = null, End = null });
        Assert.StartsWith("A restart would still need", Keeper(new KeepingRules()).PlanRemoval(1, 2).Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void A_block_taken_out_behind_the_chains_back_is_named()
    {
        _journal.Remove(101);
        (_, VerificationReport report) = RecordVerification.OfFolder(_data.Path).First(part => !part.Report.IsWhole);
        Assert.Contains("entries 101 to 200 were taken out, and the chain of events does not say so", report.Misfits[0].What, StringComparison.Ordinal);
    }

    [Fact]
    public void Disk_gets_back_what_is_taken_out()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "holes are punched on Linux");
        string archive = Directory.GetFiles(_data["cells/1/journal"], "*.twb").Single();
        long length = new FileInfo(archive).Length;
        byte[] before = File.ReadAllBytes(archive);
        SealedStretch block = _journal.SealedStretches()[3];
        Assert.Equal(block.Bytes - 80, _journal.Remove(block.FirstSequence));
        Assert.Equal(length, new FileInfo(archive).Length);
        byte[] after = File.ReadAllBytes(archive);
        Assert.Equal(block.Bytes, Enumerable.Range(0, after.Length).Last(i => before[i] != after[i]) - Enumerable.Range(0, after.Length).First(i => before[i] != after[i]) + 1, tolerance: 40);
        Assert.Equal(0, _journal.Remove(block.FirstSequence));
    }

    [Fact]
    public void Room_left_is_told_in_days()
    {
        var day = new FakeTimeProvider(Sample.Noon.ToDateTimeOffset().AddHours(12));
        using var data = new TempFolder();
        using RunCatalogue catalogue = RunCatalogue.Open(data["thermowatch.sqlite"], day, _quick);
        using CellJournal journal = CellJournal.Open(data["cells/1/journal"], Sample.Cell, day, new JournalOptions { SealInBackground = false, BlockEntries = BlockEntries }, _quick);
        RecordKeeper keeper = new(catalogue, [(1, journal)], day, new KeepingRules(), () => _free);
        Assert.Equal((_free, null, null, false), Of(keeper.Look()));
        for (int i = 0; i <= 1200; i++)
        {
            RawScan scan = Sample.Scan(i).Scan;
            journal.Append(new ScanInput(new RawScan(0, Sample.Noon.AddSeconds(i * 36), scan.Values, scan.Qualities))); // twelve hours
        }

        journal.CloseSegment();
        journal.Append(Sample.Scan(2));
        journal.SealClosed();
        long bytes = journal.SealedStretches().Sum(block => block.Bytes);
        RecordSpace space = keeper.Look();
        Assert.Equal(bytes * 2, space.BytesPerDay!.Value, tolerance: bytes * 0.01);
        Assert.Equal(_free / space.BytesPerDay.Value, space.DaysLeft!.Value, tolerance: 1e-6);
        Assert.False(space.IsLow);
        _free = 13 * (long)space.BytesPerDay.Value;
        Assert.True(keeper.Look().IsLow);

        static (long, double?, double?, bool) Of(RecordSpace space) => (space.FreeBytes, space.BytesPerDay, space.DaysLeft, space.IsLow);
    }

    private RecordKeeper Keeper(KeepingRules rules) => new(_catalogue, [(1, _journal)], _time, rules, () => _free);

    private void AssertWhole() => Assert.All(RecordVerification.OfFolder(_data.Path), part => Assert.Empty(part.Report.Misfits));

    private static (long First, long Last)[] Gaps(JournalEntry[] entries)
    {
        List<(long First, long Last)> gaps = [];
        foreach (RemovedEntries gone in entries.OfType<RemovedEntries>())
        {
            if (gaps is [.., var last] && last.Last + 1 == gone.Sequence)
            {
                gaps[^1] = (last.First, gone.LastSequence);
            }
            else
            {
                gaps.Add((gone.Sequence, gone.LastSequence));
            }
        }

        return [.. gaps];
    }
}
