using System.Collections.Immutable;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Commands;

namespace ThermoWatch.Service.Rejudging;

/// <summary>How a job stands.</summary>
internal enum JobState
{
    /// <summary>It is at work.</summary>
    Running,

    /// <summary>Its result is kept.</summary>
    Done,

    /// <summary>Somebody ended it; nothing is kept.</summary>
    Cancelled,

    /// <summary>It could not go on; nothing is kept.</summary>
    Failed,
}

/// <summary>A re-judgement at work in the service, and how far it is.</summary>
internal sealed class RejudgeJob : IDisposable
{
    private readonly RunSource _source;
    private readonly RejudgeOrder _order;
    private readonly RejudgeWork _work;
    private readonly TimeProvider _time;
    private readonly long _started;
    private readonly CancellationTokenSource _ending = new();
    private volatile JobState _state = JobState.Running;
    private double _seconds;

    public RejudgeJob(long id, RunSource source, RejudgeOrder order, string by, string reason, Timestamp moment, TimeProvider time)
    {
        (Id, _source, _order, By, Reason, Moment, _time) = (id, source, order, by, reason, moment, time);
        _started = time.GetTimestamp();
        _work = new RejudgeWork(source, order);
    }

    /// <summary>Number of the job since the service began.</summary>
    public long Id { get; }

    public int Cell => _source.Cell;

    public string By { get; }

    public string Reason { get; }

    /// <summary>When it was asked for.</summary>
    public Timestamp Moment { get; }

    public JobState State => _state;

    public ImmutableArray<FieldChange> Asked => _order.Asked;

    public int Done => _work.Done;

    public int Total => _work.Total;

    public int Other => _work.Other;

    /// <summary>How long it has taken so far, s.</summary>
    public double Seconds => _state == JobState.Running ? _time.GetElapsedTime(_started).TotalSeconds : _seconds;

    /// <summary>Number under which its result is kept; null before that.</summary>
    public long? Number { get; private set; }

    /// <summary>Why it could not go on; null if it did.</summary>
    public string? Problem { get; private set; }

    /// <summary>Ends it at the next run; nothing is kept then.</summary>
    public void Cancel() => _ending.Cancel();

    /// <summary>Does the work and keeps what came out.</summary>
    /// <param name="stopping">The service ends.</param>
    public void Run(CancellationToken stopping)
    {
        JobState state = JobState.Failed;
        try
        {
            using var end = CancellationTokenSource.CreateLinkedTokenSource(stopping, _ending.Token);
            ImmutableArray<RejudgedRun> runs = _work.Run(Environment.ProcessorCount, end.Token);
            Number = _source.Catalogue.Rejudgements.Add(new Rejudgement(
                _source.Cell, 0, Moment, By, Reason, SoftwareName.Text, Judgement.Algorithm, _order.Asked, runs));
            state = JobState.Done;
        }
        catch (OperationCanceledException)
        {
            state = JobState.Cancelled;
        }
        catch (Exception fault) when (fault is IOException or SqliteException or InvalidOperationException or UnauthorizedAccessException)
        {
            Problem = (fault.InnerException ?? fault).Message;
        }
        finally
        {
            _seconds = _time.GetElapsedTime(_started).TotalSeconds;
            _state = state;
        }
    }

    public void Dispose() => _ending.Dispose();
}
