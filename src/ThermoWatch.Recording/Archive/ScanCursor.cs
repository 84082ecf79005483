using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Archive;

/// <summary>Gives the scans of a source one by one.</summary>
internal sealed class ScanCursor(ScanColumns columns)
{
    private readonly (int Run, int Left)[] _runs = Array.ConvertAll(columns.Qualities, runs => (0, runs.Length > 0 ? runs[0].Count : 0));

    // Qualities seldom change from scan to scan, and nobody writes to a scan's arrays: scans that follow one another share theirs.
    private SignalQuality[] _qualities = [];
    private int _same;
    private int _at;

    public bool AtEnd => _at == columns.Count;

    /// <summary>The next scan; null at the end.</summary>
    public RawScan? Next()
    {
        if (AtEnd)
        {
            return null;
        }

        var values = new double[columns.Values.Length];
        for (int point = 0; point < values.Length; point++)
        {
            values[point] = columns.Values[point][_at];
        }

        return new RawScan(columns.DeviceIndex, columns.Times[_at++], values, NextQualities());
    }

    private SignalQuality[] NextQualities()
    {
        if (_same > 0)
        {
            _same--;
            return _qualities;
        }

        _qualities = new SignalQuality[_runs.Length];
        int stretch = columns.Count;
        for (int point = 0; point < _runs.Length; point++)
        {
            ref (int Run, int Left) run = ref _runs[point];
            if (run.Left == 0)
            {
                run = (run.Run + 1, columns.Qualities[point][run.Run + 1].Count);
            }

            _qualities[point] = columns.Qualities[point][run.Run].Quality;
            stretch = Math.Min(stretch, run.Left);
        }

        for (int point = 0; point < _runs.Length; point++)
        {
            _runs[point].Left -= stretch;
        }

        _same = stretch - 1;
        return _qualities;
    }
}
