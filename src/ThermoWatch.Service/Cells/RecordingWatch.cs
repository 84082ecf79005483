using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Cells;

/// <summary>Says once when recording stops, loses or goes on.</summary>
internal sealed class RecordingWatch
{
    private readonly int _cell;
    private readonly ILogger _log;
    private JournalState _state = JournalState.Recording;
    private long _notRecorded;

    public RecordingWatch(int cell, ILogger log)
    {
        _cell = cell;
        _log = log;
    }

    /// <summary>Looks how recording stands; after every batch.</summary>
    public void Look(JournalHealth health)
    {
        if (health.State == _state)
        {
            return;
        }

        if (health.State == JournalState.Recording)
        {
            Log.RecordingAgain(_log, _cell, health.NotRecorded - _notRecorded);
            _notRecorded = health.NotRecorded;
        }
        else
        {
            Log.RecordingTrouble(_log, _cell, health.State == JournalState.Losing ? "a loss" : "waiting", health.Reason);
        }

        _state = health.State;
    }
}
