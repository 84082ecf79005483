using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Replay;

/// <summary>Gives a recording's rows at their times. It is its own connection: opening it reads the file.</summary>
internal sealed class ReplayDevice(int index, ReplayDeviceOptions options, TimeProvider time) : IBusDevice, IConnection
{
    private IReadOnlyList<CurveRow> _rows = [];
    private long _startedAt;
    private int _next;
    private double _offsetSeconds;
    private bool _aborted;

    public int Index => index;

    public DeviceOptions Options => options;

    public bool TalksUnasked => true;

    public long? NextDue => _next >= _rows.Count ? null : Pause.Ticks(time, _startedAt)
        + (long)((_offsetSeconds + _rows[_next].Seconds - _rows[0].Seconds) / options.Speed * TimeSpan.TicksPerSecond);

    public string Name => options.Path;

    public bool IsOpen => _rows.Count > 0 && !_aborted;

    public LinkResult Open(TimeSpan timeout)
    {
        if (_aborted) return LinkResult.Aborted;
        try
        {
            (IReadOnlyList<CurveRow> rows, string? wrong) = CurveRows.Parse(File.ReadLines(options.Path), options.Points);
            if (wrong is not null) return LinkResult.CannotOpen($"{options.Path} cannot be replayed: {wrong}. Correct the file.");
            (_rows, _startedAt, _next, _offsetSeconds) = (rows, time.GetTimestamp(), 0, 0);
            return LinkResult.Done();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return LinkResult.CannotOpen($"{options.Path} cannot be read. Check that the file is there and may be read.");
        }
    }

    public ScanResult Scan()
    {
        long now = time.GetTimestamp();
        if (_next == _rows.Count - 1 && options.Repeat)
        {
            // One step between the last row and the first again: time must go on rising.
            double span = _rows[^1].Seconds - _rows[0].Seconds;
            double step = _rows.Count > 1 ? span / (_rows.Count - 1) : options.Period.TotalSeconds;
            ScanResult last = Give(_rows[^1], now);
            _offsetSeconds += span + step;
            _next = 0;
            return last;
        }

        if (_next == _rows.Count) return new(ScanStatus.Ended, [], [], now, now, $"The recording {options.Path} has come to its end.");
        return Give(_rows[_next++], now);
    }

    public void Close() => _rows = [];

    public void Abort() => _aborted = true;

    public void Dispose() => _aborted = true;

    private static ScanResult Give(CurveRow row, long now) => new(
        ScanStatus.Answered,
        [.. row.Values],
        [.. row.Values.Select(v => double.IsNaN(v) ? SignalQuality.Bad(QualityReason.NoReading) : SignalQuality.Good)],
        now, now, null);
}
