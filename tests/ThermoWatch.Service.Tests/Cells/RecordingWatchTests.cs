using Microsoft.Extensions.Logging;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Tests.Cells;

public sealed class RecordingWatchTests : ILogger
{
    private readonly List<string> _said = [];

    [Fact]
    public void Each_change_is_said_once_with_its_reason_and_the_loss()
    {
        var watch = new RecordingWatch(2, this);
        JournalHealth fine = new(JournalState.Recording, "", null, 0, 0);
        JournalHealth waiting = new(JournalState.Waiting, "The disk is full.", default, 10, 0);
        JournalHealth losing = waiting with { State = JournalState.Losing, NotRecorded = 4 };
        foreach (JournalHealth health in (JournalHealth[])[fine, fine, waiting, waiting, losing, losing, fine with { NotRecorded = 7 }, fine with { NotRecorded = 7 }])
        {
            watch.Look(health);
        }

        Assert.Collection(
            _said,
            s => Assert.Contains("stands at waiting. The disk is full.", s, StringComparison.Ordinal),
            s => Assert.Contains("stands at a loss. The disk is full.", s, StringComparison.Ordinal),
            s => Assert.Contains("goes on. 7 entries", s, StringComparison.Ordinal));
    }

    IDisposable? ILogger.BeginScope<TState>(TState state) => null;

    bool ILogger.IsEnabled(LogLevel level) => true;

    void ILogger.Log<TState>(LogLevel level, EventId id, TState state, Exception? error, Func<TState, Exception?, string> text) => _said.Add(text(state, error));
}
