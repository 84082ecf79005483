using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Cells;

/// <summary>What the engine cannot see of the service that it runs in: whether the record is written.</summary>
internal sealed class SelfWatch
{
    private bool _trouble;

    /// <summary>What has changed since the last look; null if nothing has.</summary>
    /// <param name="now">Time of the cell.</param>
    /// <param name="health">How recording stands.</param>
    public ReportInput? Look(Timestamp now, JournalHealth health)
    {
        bool trouble = health.State != JournalState.Recording;
        if (trouble == _trouble)
        {
            return null;
        }

        _trouble = trouble;
        return new ReportInput(now, "recording", trouble, null, null);
    }
}
