namespace ThermoWatch.Feeds;

/// <summary>
/// A cursor over the record for one target. What is recorded is sent in order, and the position moves only when the target has confirmed:
/// at least once, never out of order, nothing left out.
/// </summary>
/// <remarks>Live entries come first; the past that somebody asked for is sent when nothing live waits.</remarks>
public sealed partial class Feed : IAsyncDisposable
{
    private const int KeptRejected = 20;
    private readonly FeedOptions _options;
    private readonly IFeedTarget _target;
    private readonly FeedFolder _folder;
    private readonly TimeProvider _time;
    private readonly Action<string> _say;
    private readonly BackOff _backOff;
    private readonly SharedTimes _shared;
    private readonly LaneCursor[] _lanes;
    private readonly List<Backfill> _backfills = [];
    private readonly Queue<RejectedLine> _rejected = new();
    private readonly Lock _gate = new();
    private long _retryAt, _savedAt, _confirmed, _rejectedCount;
    private int _turn, _calls, _callsBefore;
    private bool _dirty;
    private volatile bool _paused;
    private FeedState _trouble = FeedState.Sending;
    private string _reason = "";
    private volatile FeedStatus _status;

    /// <summary>Takes up where the feed stopped.</summary>
    /// <param name="options">How it works.</param>
    /// <param name="lanes">What is sent.</param>
    /// <param name="target">To whom; it goes with the feed.</param>
    /// <param name="folder">Where it writes down how far it is.</param>
    /// <param name="time">The clock.</param>
    /// <param name="random">Spreads waits.</param>
    /// <param name="say">Told, in one line, what people should know.</param>
    public Feed(FeedOptions options, IReadOnlyList<IFeedLane> lanes, IFeedTarget target, FeedFolder folder, TimeProvider time, Random random, Action<string>? say = null)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(lanes);
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(folder);
        (_options, _target, _folder, _time, _say) = (options, target, folder, time, say ?? (_ => { }));
        _backOff = new BackOff(options, random);
        _shared = new SharedTimes(target.Step);
        FeedPositions? saved = folder.Load();
        if (folder.Loss is { } loss)
        {
            _say(loss);
        }

        bool fromBeginning = options.FromBeginning || folder.Loss is not null;
        _lanes = [.. lanes.Select(lane => new LaneCursor(lane, Start(lane, saved, fromBeginning)))];
        foreach (Stretch stretch in saved?.Backfills ?? [])
        {
            if (lanes.FirstOrDefault(lane => lane.Name == stretch.Lane) is { } lane)
            {
                _backfills.Add(new Backfill(new LaneCursor(lane, stretch.After), stretch.First, stretch.Last, stretch.Owed));
            }
        }

        _paused = saved?.Paused ?? false;
        _seenThrough = saved?.SeenThrough ?? 0;
        _retryAt = _savedAt = time.GetTimestamp();
        _status = Look();
        target.WhenReady(() =>
        {
            Interlocked.Increment(ref _calls);
            Interlocked.Exchange(ref _retryAt, _time.GetTimestamp());
        });
        Save(); // a feed that begins now must know so after a crash, or it would begin later
    }

    /// <summary>How it stands, as of its last step.</summary>
    public FeedStatus Status => _status;

    /// <summary>The rules it works by.</summary>
    public FeedOptions Options => _options;

    /// <summary>Works until the service stops: waits, steps, waits.</summary>
    public async Task RunAsync(CancellationToken stopping)
    {
        try
        {
            while (!stopping.IsCancellationRequested)
            {
                if (!await StepAsync(stopping).ConfigureAwait(false))
                {
                    await Task.Delay(_options.Period, _time, stopping).ConfigureAwait(false);
                }
            }
        }
        catch (OperationCanceledException) when (stopping.IsCancellationRequested)
        {
            // What was on its way is not confirmed, and comes again.
        }

        Save();
    }

    /// <summary>One step: delivers one batch, if it is time and there is one.</summary>
    /// <returns>Whether there may be more to do at once.</returns>
    internal async Task<bool> StepAsync(CancellationToken stopping)
    {
        bool more = false;
        _callsBefore = Volatile.Read(ref _calls);
        foreach (LaneCursor lane in _lanes)
        {
            lane.Look(lane.Lane.End, _options.BatchReadings, historical: false); // also while paused: the lag must be known
        }

        if (!_paused && _time.GetElapsedTime(Volatile.Read(ref _retryAt)) >= TimeSpan.Zero)
        {
            SetBacklogAside();
            more = await SendAsync(stopping).ConfigureAwait(false);
        }

        if (_dirty && _time.GetElapsedTime(_savedAt) >= _options.SavePeriod)
        {
            Save();
        }

        _status = Look();
        return more;
    }

    /// <summary>Ends its readers and its target.</summary>
    public async ValueTask DisposeAsync()
    {
        Save();
        foreach (LaneCursor lane in _lanes)
        {
            lane.Dispose();
        }

        _backfills.ForEach(backfill => backfill.Cursor.Dispose());
        await _target.DisposeAsync().ConfigureAwait(false);
    }

    private async Task<bool> SendAsync(CancellationToken stopping)
    {
        // Lanes take turns, so that a busy one does not hold up the others.
        for (int i = 0; i < _lanes.Length; i++)
        {
            LaneCursor lane = _lanes[(_turn + i) % _lanes.Length];
            if (lane.Pending is { } batch)
            {
                _turn = (_turn + i + 1) % _lanes.Length;
                return await DeliverAsync(lane, batch, stopping).ConfigureAwait(false);
            }
        }

        if (await SendQuarantinedAsync(stopping).ConfigureAwait(false) is { } again)
        {
            return again;
        }

        if (Due() is { } backfill)
        {
            FeedBatch? past = backfill.Cursor.Look(backfill.Last, _options.BatchReadings, historical: true);
            bool went = past is null || await DeliverAsync(backfill.Cursor, past, stopping).ConfigureAwait(false);
            if (went)
            {
                Moved(backfill, past?.Weight ?? 0);
            }

            return went;
        }

        if (await _target.TendAsync(stopping).ConfigureAwait(false) is { } trouble)
        {
            Failed(Delivery.Later(trouble));
        }
        else if (_trouble != FeedState.Sending)
        {
            Well();
        }

        return false;
    }

    private async Task<bool> DeliverAsync(LaneCursor lane, FeedBatch batch, CancellationToken stopping)
    {
        Delivery delivery = await TryAsync(token => _target.DeliverAsync(batch, token), stopping).ConfigureAwait(false);
        if (delivery.Outcome is DeliveryOutcome.TryAgain or DeliveryOutcome.Refused)
        {
            Failed(delivery);
            return false;
        }

        if (delivery.Rejected.Count > 0)
        {
            SetAside(delivery.Rejected);
        }

        lane.Confirm();
        _confirmed += batch.Weight;
        if (!batch.IsHistorical)
        {
            _shared.Take(batch);
        }

        _dirty = true;
        Well();
        return true;
    }

    private async Task<Delivery> TryAsync(Func<CancellationToken, Task<Delivery>> deliver, CancellationToken stopping)
    {
        using var deadline = new CancellationTokenSource(_options.Timeout, _time);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(stopping, deadline.Token);
        try
        {
            return await deliver(either.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stopping.IsCancellationRequested)
        {
            return Delivery.Later($"No answer within {_options.Timeout.TotalSeconds:0.#} s.");
        }
        catch (Exception fault) when (fault is not OperationCanceledException)
        {
            // A target turns what can happen into outcomes; whatever else comes must not end the feed, and is said.
            return Delivery.Later($"{fault.GetType().Name}: {fault.Message}");
        }
    }

    private void Failed(Delivery delivery)
    {
        FeedState state = delivery.Outcome == DeliveryOutcome.Refused ? FeedState.Refused : FeedState.Waiting;
        if (_trouble != state)
        {
            _say($"Feed {_options.Id}: {delivery.Words}");
        }

        (_trouble, _reason) = (state, delivery.Words);
        TimeSpan wait = _backOff.Next(delivery.Outcome, delivery.RetryAfter);
        Interlocked.Exchange(ref _retryAt, _time.GetTimestamp() + (long)(wait.TotalSeconds * _time.TimestampFrequency));
        if (Volatile.Read(ref _calls) != _callsBefore)
        {
            Interlocked.Exchange(ref _retryAt, _time.GetTimestamp()); // the target called while this attempt was failing
        }
    }

    private void Well()
    {
        if (_trouble != FeedState.Sending)
        {
            _say($"Feed {_options.Id} goes on.");
        }

        (_trouble, _reason) = (FeedState.Sending, "");
        _backOff.Clear();
    }

    private static long Start(IFeedLane lane, FeedPositions? saved, bool fromBeginning)
    {
        // A record that was set back has entries that the saved position would pass over.
        long end = lane.End;
        return saved?.Lanes.TryGetValue(lane.Name, out long after) == true ? Math.Min(after, end) : fromBeginning ? 0 : end;
    }
}
