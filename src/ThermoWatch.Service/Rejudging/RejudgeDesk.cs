using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Rejudging;

/// <summary>The re-judgements of a running service: one at a time, so that it does not take the machine from what is live.</summary>
internal sealed class RejudgeDesk(RunCatalogue catalogue, TimeProvider time) : IDisposable
{
    private const int Kept = 20;

    private readonly Lock _gate = new();
    private readonly List<RejudgeJob> _jobs = [];
    private readonly CancellationTokenSource _ending = new();
    private Task _working = Task.CompletedTask;
    private long _last;

    /// <summary>Begins one; null while another is at work.</summary>
    public RejudgeJob? Begin(CellHost cell, RejudgeOrder order, string by, string reason)
    {
        lock (_gate)
        {
            if (!_working.IsCompleted)
            {
                return null;
            }

            var source = new RunSource(cell.Definition.Number, catalogue, cell.ReadFrom, cell.DefinitionAt);
            Timestamp moment = cell.Now;
            var job = new RejudgeJob(++_last, source, order, by, reason, moment, time);
            _jobs.Add(job);
            if (_jobs.Count > Kept)
            {
                _jobs[0].Dispose();
                _jobs.RemoveAt(0);
            }

            _working = Task.Factory.StartNew(() => job.Run(_ending.Token), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
            return job;
        }
    }

    /// <summary>Jobs of a cell since the service began, newest first.</summary>
    public IReadOnlyList<RejudgeJob> Of(int cell)
    {
        lock (_gate)
        {
            return [.. _jobs.Where(job => job.Cell == cell).Reverse()];
        }
    }

    /// <summary>Ends what is at work and waits for it; the catalogue is closed afterwards.</summary>
    public void Dispose()
    {
        if (_ending.IsCancellationRequested)
        {
            return; // the node ends it before the record closes, and the pages' host once more
        }

        _ending.Cancel();
        _working.Wait();
        _jobs.ForEach(job => job.Dispose());
        _ending.Dispose();
    }
}
