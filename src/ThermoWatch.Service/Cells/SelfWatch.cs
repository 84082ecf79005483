using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Cells;

/// <summary>What the engine cannot see of the service that it runs in: whether the record is written, and whether the clock steps.</summary>
internal sealed class SelfWatch
{
    private static readonly TimeSpan StepFrom = TimeSpan.FromSeconds(1);

    private bool _recordingTrouble;
    private bool _stepped;
    private TimeSpan? _ahead;

    /// <summary>What has changed since the last look, a second or so ago.</summary>
    /// <param name="now">Time of the cell.</param>
    /// <param name="health">How recording stands.</param>
    /// <param name="wallClockAhead">How far the wall clock is ahead of the cell's time.</param>
    public IEnumerable<ReportInput> Look(Timestamp now, JournalHealth health, TimeSpan wallClockAhead)
    {
        bool trouble = health.State != JournalState.Recording;
        if (trouble != _recordingTrouble)
        {
            _recordingTrouble = trouble;
            yield return new ReportInput(now, "recording", trouble, null, null);
        }

        // A step is over as soon as it has been: the alarm then stays until somebody has seen it.
        TimeSpan step = wallClockAhead - (_ahead ?? wallClockAhead);
        _ahead = wallClockAhead;
        bool stepped = step.Duration() >= StepFrom;
        if (stepped || _stepped)
        {
            yield return new ReportInput(now, "clock", stepped, stepped ? step.TotalSeconds : null, null);
        }

        _stepped = stepped;
    }
}
