using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Tests.Rejudging;

namespace ThermoWatch.Service.Tests.Cells;

/// <summary>What the catalogue tells the cell: the corridor of released runs, and when a verification is due.</summary>
public sealed class UpkeepTests : IDisposable
{
    private const int Released = 6;
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("upkeep");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Good_runs_stay_in_the_corridor_of_the_released_ones()
    {
        CorridorWatch? watch = null;
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, SimulatedRecord.Configuration(), runs: 20, beside: (host, catalogue) =>
        {
            watch ??= new CorridorWatch(host, catalogue);
            ReleaseFirst(catalogue);
            return watch.Look();
        });
        AlarmEvent[] told = [.. cell.Catalogue.Alarms(1, long.MaxValue, 1000).Select(s => s.Event).Where(e => e is { Condition: "offReference", State: AlarmState.Unacknowledged })];
        Assert.True(told.Length == 0, $"{told.Length} of 14 good runs were told, first: {told.LastOrDefault()}");
        Assert.Contains(cell.Catalogue.Latest(1, 1), r => r.Number == 20);
    }

    [Fact]
    public async Task Place_that_something_else_heats_leaves_the_corridor_and_is_told_with_its_channel()
    {
        CorridorWatch? watch = null;
        using RecordedCell cell = await RecordedCell.MakeAsync(
            _folder.FullName, SimulatedRecord.Configuration(), runs: Released + 2, scenario: "overshoot", overshootRun: Released + 2, beside: (host, catalogue) =>
            {
                watch ??= new CorridorWatch(host, catalogue);
                ReleaseFirst(catalogue);
                return watch.Look();
            });
        AlarmEvent[] told = [.. cell.Catalogue.Alarms(1, long.MaxValue, 1000).Select(s => s.Event).Where(e => e is { Condition: "offReference", State: AlarmState.Unacknowledged })];
        AlarmEvent off = Assert.Single(told);
        Assert.Equal((Released + 2L, "tc3"), (off.Run!.Value, off.ChannelId));
        Assert.True(off.Value > 0);
    }

    [Fact]
    public async Task Verification_is_due_after_so_many_runs_once_and_over_when_one_has_passed()
    {
        using RecordedCell cell = await RecordedCell.MakeAsync(_folder.FullName, SimulatedRecord.Configuration(), runs: 4);
        Timestamp now = cell.Catalogue.Find(1, 4)!.End!.Value;
        var watch = new VerificationWatch(1, new VerificationRule { Runs = 4 }, cell.Catalogue);
        Assert.Equal((true, 4.0, 4.0), (watch.Look(now) is { Condition: "verificationDue" } due ? (due.Holds, due.Value!.Value, due.Limit!.Value) : default));
        Assert.Null(watch.Look(now));
        cell.Catalogue.Save(cell.Catalogue.Find(1, 3)! with { Kind = RunKind.Verification, Verdict = Domain.Figures.Verdict.Pass });
        Assert.False(watch.Look(now)!.Holds);
        cell.Catalogue.Book.AddService(1, new ServiceEntry(now, ServiceKind.Fluid, "Jon", "changed"));
        Assert.True(watch.Look(now)!.Holds);
    }

    private static void ReleaseFirst(RunCatalogue catalogue)
    {
        if (catalogue.Latest(1, 1) is [{ Number: Released + 1 }] && catalogue.Book.References(1).Count == 0)
        {
            for (int run = 1; run <= Released; run++)
            {
                catalogue.Book.ReleaseAsReference(1, run, SimulatedRecord.Born, "Ines", "first day");
            }
        }
    }
}
