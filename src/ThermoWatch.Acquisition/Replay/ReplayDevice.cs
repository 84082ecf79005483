using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Polling;

namespace ThermoWatch.Acquisition.Replay;

/// <summary>Gives a recording's rows at their times. It is its own connection: opening it opens the recording.</summary>
/// <remarks>A row bears the time at which it was due, not that at which a busy computer gave it: intervals are those of the recording.</remarks>
internal sealed class ReplayDevice(int index, ReplayDeviceOptions options, TimeProvider time) : IBusDevice, IConnection
{
    private readonly string[] _columns = [.. options.Points.Select(p => p.Column)];
    private IEnumerator<RecordedRow>? _rows;
    private RecordedRow _next;
    private bool _hasNext;
    private long _startedAt, _given;
    private double _firstSeconds, _lastSeconds, _offsetSeconds;
    private volatile bool _aborted;

    public int Index => index;

    public DeviceOptions Options => options;

    public bool TalksUnasked => true;

    public long? NextDue => _hasNext ? Pause.Ticks(time, DueAt) : null;

    public string Name => options.Recording.Name;

    public bool IsOpen => _rows is not null && !_aborted;

    private long DueAt => _startedAt + (long)((_offsetSeconds + _next.Seconds - _firstSeconds) / options.Speed * time.TimestampFrequency);

    public LinkResult Open(TimeSpan timeout)
    {
        if (_aborted) return LinkResult.Aborted;
        if (Rewind() is { } problem) return LinkResult.CannotOpen(problem);
        (_startedAt, _offsetSeconds) = (time.GetTimestamp(), 0);
        return LinkResult.Done();
    }

    public ScanResult Scan()
    {
        if (!_hasNext)
        {
            long now = time.GetTimestamp();
            return new(ScanStatus.Ended, [], [], now, now, $"The recording {Name} has come to its end.");
        }

        long due = DueAt;
        RecordedRow row = _next;
        _lastSeconds = row.Seconds;
        _given++;
        Advance();
        if (!_hasNext && options.Repeat) Again();
        return new(ScanStatus.Answered, row.Values, row.Qualities, due, due, null);
    }

    public void Close()
    {
        _rows?.Dispose();
        (_rows, _hasNext) = (null, false);
    }

    public void Abort() => _aborted = true;

    public void Dispose()
    {
        _aborted = true;
        Close();
    }

    private string? Rewind()
    {
        Close();
        RecordingOpening opening = options.Recording.Open(_columns);
        if (opening.Rows is null) return opening.Problem;
        _rows = opening.Rows.GetEnumerator();
        _given = 0;
        Advance();
        _firstSeconds = _next.Seconds;
        return _hasNext ? null : $"{Name} holds no readings of this device. Check what of it is to be replayed.";
    }

    private void Advance()
    {
        _hasNext = _rows!.MoveNext();
        if (_hasNext) _next = _rows.Current;
    }

    // One step between the last row and the first again: time must go on rising.
    private void Again()
    {
        double span = _lastSeconds - _firstSeconds;
        _offsetSeconds += span + (_given > 1 ? span / (_given - 1) : options.Period.TotalSeconds);
        if (Rewind() is not null) Close(); // it was deleted meanwhile; opening it anew says so
    }
}
