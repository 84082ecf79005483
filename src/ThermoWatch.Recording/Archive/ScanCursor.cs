using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Archive;

/// <summary>Gives the scans of a source one by one.</summary>
internal sealed class ScanCursor(ScanColumns columns)
{
    private readonly (int Run, int Left)[] _runs = Array.ConvertAll(columns.Qualities, runs => (0, runs.Length > 0 ? runs[0].Count : 0));
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
        var qualities = new SignalQuality[values.Length];
        for (int point = 0; point < values.Length; point++)
        {
            values[point] = columns.Values[point][_at];
            qualities[point] = NextQuality(point);
        }

        return new RawScan(columns.DeviceIndex, columns.Times[_at++], values, qualities);
    }

    /// <summary>Whether the next scan is this one bit for bit; goes past it.</summary>
    public bool NextIs(RawScan scan)
    {
        if (AtEnd || scan.DeviceIndex != columns.DeviceIndex || scan.Time != columns.Times[_at] || scan.Values.Length != columns.Values.Length)
        {
            return false;
        }

        bool same = true;
        for (int point = 0; point < scan.Values.Length; point++)
        {
            same &= BitConverter.DoubleToInt64Bits(scan.Values[point]) == BitConverter.DoubleToInt64Bits(columns.Values[point][_at])
                & scan.Qualities[point] == NextQuality(point);
        }

        _at++;
        return same;
    }

    private SignalQuality NextQuality(int point)
    {
        ref (int Run, int Left) run = ref _runs[point];
        if (run.Left == 0)
        {
            run = (run.Run + 1, columns.Qualities[point][run.Run + 1].Count);
        }

        run.Left--;
        return columns.Qualities[point][run.Run].Quality;
    }
}
