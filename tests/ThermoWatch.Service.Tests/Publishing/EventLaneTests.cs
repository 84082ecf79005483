using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Service.Publishing;

namespace ThermoWatch.Service.Tests.Publishing;

public sealed class EventLaneTests : IDisposable
{
    private static readonly Timestamp Start = Timestamp.From(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
    private readonly string _folder = Directory.CreateTempSubdirectory("events").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Runs_and_alarms_come_in_the_order_in_which_they_were_written_and_only_of_the_cells_asked_for()
    {
        using RunCatalogue catalogue = RunCatalogue.Open(Path.Combine(_folder, "thermowatch.sqlite"), TimeProvider.System);
        var lane = new EventLane(_folder, catalogue, [new CellDefinition { Number = 1, Name = "Cell 1", Carriers = ["A"], Devices = [], Channels = [] }]);
        using IFeedReader reader = lane.Open();
        Assert.Equal(0, lane.End);
        var run = new RunRow { Cell = 1, Number = 4, Carrier = "A", Start = Start, FirstSequence = 1 };
        catalogue.Save(run);
        catalogue.Audit(new AuditEntry(Start, "x", "y", "z", "w", null, null, null));
        catalogue.SaveAlarm(2, Alarm(5)); // of another cell
        catalogue.SaveAlarm(1, Alarm(6));
        Assert.Equal(["run 4 open", "alarm 6"], Read());
        Assert.Empty(Read());
        catalogue.Save(run with { End = Start.AddSeconds(300), LastSequence = 9, Verdict = Verdict.Fail, Figures = [new FigureResult { Figure = "cycleTime", Unit = "s", Value = 300 }] });
        Assert.Equal(["run 4 Fail cycleTime=300"], Read());

        string[] Read()
        {
            FeedBatch batch = reader.Read(_at, lane.End, 100);
            _at = batch.Through;
            Assert.Equal(lane.End, _at);
            return [.. batch.Items.Select(Text)];
        }
    }

    private long _at;

    private static string Text(FeedItem item) => item switch
    {
        RunItem { Run: { End: null } run } => $"run {run.Number} open",
        RunItem { Run: var run } => $"run {run.Number} {run.Verdict} {run.Figures[0].Figure}={run.Figures[0].Value}",
        AlarmItem alarm => $"alarm {(alarm.Time - Start).TotalSeconds}",
        _ => "?",
    };

    private static AlarmEvent Alarm(double second) =>
        new(Start.AddSeconds(second), "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, false, 250, 245, 4);
}
