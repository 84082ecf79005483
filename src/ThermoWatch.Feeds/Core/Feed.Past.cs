using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds;

/// <summary>What people may ask of a feed, and how it stands.</summary>
public sealed partial class Feed
{
    /// <summary>Stops sending, also over a restart. The position stays; what is recorded meanwhile is sent afterwards.</summary>
    public void Pause() => SetPaused(true);

    /// <summary>Goes on, at once even if the last attempt failed.</summary>
    public void Resume()
    {
        _retryAt = _time.GetTimestamp();
        SetPaused(false);
    }

    /// <summary>Sends a stretch of the past once more, beside what is live.</summary>
    /// <param name="from">Entries of that time or later.</param>
    /// <param name="to">Up to here; null: up to what has been sent by now.</param>
    /// <returns>How many entries that are.</returns>
    public long SendAgain(Timestamp from, Timestamp? to = null)
    {
        long entries = 0;
        lock (_gate)
        {
            foreach (LaneCursor lane in _lanes)
            {
                (long after, long last) = lane.Lane.Span(from, to);
                last = Math.Min(last, lane.After);
                if (last > after)
                {
                    _backfills.Add(new Backfill(new LaneCursor(lane.Lane, after), after + 1, last, owed: false));
                    entries += last - after;
                }
            }

            _dirty = true;
        }

        _status = Look(); // who asks next sees it
        return entries;
    }

    /// <summary>Sends no more of what a person has asked for of the past. A backlog that is still owed goes on.</summary>
    /// <returns>How many entries are not sent.</returns>
    public long CancelBackfills()
    {
        long left = 0;
        lock (_gate)
        {
            foreach (Backfill backfill in _backfills.Where(b => b is { Owed: false, IsCancelled: false }))
            {
                backfill.IsCancelled = true; // the sending loop may be in the midst of it, and lets it go
                left += backfill.Last - backfill.Cursor.After;
            }

            _dirty = true;
        }

        _status = Look();
        return left;
    }

    private void SetPaused(bool paused)
    {
        _paused = paused;
        _dirty = true;
        _status = Look();
    }

    /// <summary>A backlog that is older than allowed becomes a stretch of the past, so that live values go on now.</summary>
    private void SetBacklogAside()
    {
        if (_options.LiveFirstAfter is not { } most)
        {
            return;
        }

        foreach (LaneCursor lane in _lanes)
        {
            long end = lane.Lane.End;
            if (lane.Pending is { Items: [var oldest, ..] } && end > lane.After && AgeOf(oldest) > most)
            {
                lock (_gate)
                {
                    if (_backfills.Find(b => b.Owed && b.Cursor.Lane == lane.Lane && b.Last == lane.After) is { } before)
                    {
                        before.Last = end; // the outage goes on: it is still one stretch
                    }
                    else
                    {
                        _backfills.Add(new Backfill(new LaneCursor(lane.Lane, lane.After), lane.After + 1, end, owed: true));
                    }

                    lane.SkipTo(end);
                    _dirty = true;
                }

                Save(); // both or neither: a position that has moved on without the stretch would be a loss
            }
        }
    }

    private Backfill? Due()
    {
        lock (_gate)
        {
            foreach (Backfill cancelled in _backfills.FindAll(b => b.IsCancelled))
            {
                _backfills.Remove(cancelled);
                cancelled.Cursor.Dispose();
            }

            return _backfills.Find(backfill => _time.GetElapsedTime(backfill.NotBefore) >= TimeSpan.Zero);
        }
    }

    private void Moved(Backfill backfill, int readings)
    {
        lock (_gate)
        {
            _dirty = true;
            if (backfill.Cursor.After >= backfill.Last)
            {
                _backfills.Remove(backfill);
                backfill.Cursor.Dispose();
            }
            else if (_options.BackfillReadingsPerSecond is { } rate)
            {
                backfill.NotBefore = _time.GetTimestamp() + (long)(readings / rate * _time.TimestampFrequency);
            }
        }
    }

    private void Save()
    {
        FeedPositions positions;
        lock (_gate)
        {
            // A stretch set aside from a backlog leans on entries that may not be settled either: those are live again after a power cut.
            positions = new FeedPositions(
                _lanes.ToDictionary(lane => lane.Lane.Name, lane => lane.Savable),
                [.. _backfills.Where(b => !b.IsCancelled).Select(b => new Stretch(b.Cursor.Lane.Name, b.First, b.Cursor.Savable, b.Last, b.Owed))],
                _paused, _seenThrough);
        }

        try
        {
            _folder.Save(positions);
            // What is not settled yet must be written once it is.
            _dirty = _lanes.Any(lane => lane.Savable < lane.After);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            _say($"Feed {_options.Id}: its position cannot be written, and after a restart it sends some entries again: {fault.Message}");
        }

        _savedAt = _time.GetTimestamp();
    }

    private TimeSpan AgeOf(FeedItem item) => Timestamp.From(_time.GetUtcNow()) - item.Time;

    private FeedStatus Look()
    {
        TimeSpan lag = TimeSpan.Zero;
        long backlog = 0;
        foreach (LaneCursor lane in _lanes)
        {
            backlog += Math.Max(0, lane.Lane.End - lane.After);
            if (lane.Pending is { Items: [var oldest, ..] } && AgeOf(oldest) is var age && age > lag)
            {
                lag = age;
            }
        }

        lock (_gate)
        {
            return new FeedStatus(
                _options.Id, _target.Kind, _target.Address, _target.PrecisionRule, _paused ? FeedState.Paused : _trouble, _reason, lag, backlog, _confirmed, _rejectedCount,
                [.. _rejected], _backOff.Failures,
                [.. _backfills.Where(b => !b.IsCancelled).Select(b => new BackfillStatus(
                    b.Cursor.Lane.Name, b.First, b.Cursor.After, b.Last, b.Last < b.First ? 1 : (b.Cursor.After - b.First + 1) / (double)(b.Last - b.First + 1), b.Owed))],
                [.. _lanes.Select(lane => new LaneStatus(lane.Lane.Name, lane.After, lane.Lane.End))],
                LookAtQuarantine())
            {
                SharedTimes = _shared.Count,
            };
        }
    }

    /// <summary>A stretch of the past on its way.</summary>
    private sealed class Backfill(LaneCursor cursor, long first, long last, bool owed)
    {
        public LaneCursor Cursor => cursor;

        public long First => first;

        public long Last { get; set; } = last;

        public long NotBefore { get; set; }

        public bool Owed => owed;

        public bool IsCancelled { get; set; }
    }
}
