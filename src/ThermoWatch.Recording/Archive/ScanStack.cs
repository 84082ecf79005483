using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>Scans of one device being laid out as columns. Used again for the next block, so that sealing allocates next to nothing.</summary>
internal sealed class ScanStack
{
    private readonly double[][] _values;
    private readonly SignalQuality[] _qualities;
    private readonly int[] _since;
    private readonly List<QualityRun>[] _runs;
    private long[] _times = new long[256];

    public ScanStack(int deviceIndex, int points)
    {
        DeviceIndex = deviceIndex;
        _values = new double[points][];
        _runs = new List<QualityRun>[points];
        for (int point = 0; point < points; point++)
        {
            (_values[point], _runs[point]) = (new double[_times.Length], []);
        }

        (_qualities, _since) = (new SignalQuality[points], new int[points]);
    }

    public int DeviceIndex { get; }

    public int Points => _values.Length;

    /// <summary>How many scans there are.</summary>
    public int Count { get; private set; }

    /// <summary>UTC ticks of the scans.</summary>
    public ReadOnlySpan<long> Times => _times.AsSpan(0, Count);

    /// <summary>One point's raw numbers.</summary>
    public ReadOnlySpan<double> Values(int point) => _values[point].AsSpan(0, Count);

    /// <summary>One point's qualities as runs; only after <see cref="Close"/>.</summary>
    public List<QualityRun> Runs(int point) => _runs[point];

    public void Clear()
    {
        Count = 0;
        foreach (List<QualityRun> runs in _runs)
        {
            runs.Clear();
        }
    }

    public void Add(RawScan scan)
    {
        Begin(scan.Time.UtcTicks, scan.Qualities);
        for (int point = 0; point < _values.Length; point++)
        {
            _values[point][Count] = scan.Values[point];
        }

        Count++;
    }

    public void Add(DeviceMemory scan)
    {
        Begin(scan.Time, scan.Qualities);
        ReadOnlySpan<long> numbers = scan.Numbers;
        ReadOnlySpan<NumberForm> forms = scan.Forms;
        double[][] values = _values;
        int at = Count;
        for (int point = 0; point < values.Length; point++)
        {
            NumberForm form = forms[point];
            values[point][at] = form == NumberForm.Integer ? numbers[point] : NumberForms.ToNumber(numbers[point], form);
        }

        Count++;
    }

    /// <summary>Ends the runs of qualities with the last scan.</summary>
    public void Close()
    {
        for (int point = 0; point < _values.Length; point++)
        {
            EndRun(point);
        }
    }

    private void Begin(long time, ReadOnlySpan<SignalQuality> qualities)
    {
        if (Count == _times.Length)
        {
            Grow();
        }

        _times[Count] = time;
        if (Count == 0)
        {
            qualities.CopyTo(_qualities);
            _since.AsSpan().Clear();
        }
        else if (!QualityCode.Same(qualities, _qualities))
        {
            for (int point = 0; point < qualities.Length; point++)
            {
                if (qualities[point] != _qualities[point])
                {
                    EndRun(point);
                    (_qualities[point], _since[point]) = (qualities[point], Count);
                }
            }
        }
    }

    private void EndRun(int point) => _runs[point].Add(new QualityRun(_qualities[point], Count - _since[point]));

    private void Grow()
    {
        Array.Resize(ref _times, _times.Length * 2);
        for (int point = 0; point < _values.Length; point++)
        {
            Array.Resize(ref _values[point], _times.Length);
        }
    }
}
