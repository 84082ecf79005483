using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Finds the rest pressure and the evacuations in the curve of a chamber gauge.</summary>
/// <param name="logarithmic">Whether the gauge's error is a factor.</param>
internal sealed class VacuumTracker(bool logarithmic)
{
    private const long RestTicks = 3 * Timestamp.TicksPerSecond;
    private const long HourTicks = 3600 * Timestamp.TicksPerSecond;
    private const double FoundBelow = 0.5;
    private const double ShallowBelow = 0.9;
    private const double RestsAgainAbove = 0.85;
    private const double LeastShareOfHour = 0.8;
    private const double ShallowSeconds = 2;

    private readonly double _restBand = logarithmic ? 0.10 : 0.02;
    private readonly double _edgeShare = logarithmic ? 0.8 : 0.95;

    // Pressures of the rest window in order of size: least, greatest and median at once.
    private readonly List<double> _window = [];
    private long _windowFirst;
    private long _stretchBegan;

    // Rest pressures of the last hour that no later one exceeds: the first is the greatest.
    private readonly List<(long Ticks, double Pressure)> _hour = [];
    private double _restPressure = double.NaN;
    private long _fellBelowShallow = long.MinValue;

    /// <summary>Rest pressure, mbar; NaN before any.</summary>
    public double RestPressure => _restPressure;

    /// <summary>Relative hysteresis of the gauge's events: 2 % of a level, 0.1 decade of a logarithmic gauge.</summary>
    public double HysteresisFactor { get; } = logarithmic ? Math.Pow(10, 0.1) : 1.02;

    /// <summary>The evacuation that goes on; null between them.</summary>
    public VacuumStep? Current { get; private set; }

    /// <summary>Whether the pressure is where it rests between evacuations, as far as it is known.</summary>
    public bool Rests(Curve curve) => Current is null
        && (double.IsNaN(_restPressure) || curve.Count == 0 || curve.LastValue >= ShallowBelow * _restPressure);

    /// <summary>The machine's valve says that an evacuation begins.</summary>
    /// <param name="ticks">When, UTC ticks.</param>
    /// <param name="unsure">Whether it may have begun earlier.</param>
    public VacuumStep? BeginByValve(long ticks, bool unsure)
    {
        if (Current is not null)
        {
            return null;
        }

        _fellBelowShallow = long.MinValue;
        return Current = new VacuumStep(ticks, _restPressure, _edgeShare * _restPressure) { StartUnsure = unsure, ByValve = true };
    }

    /// <summary>The machine's valve says that the evacuation, and the vent after it, are over.</summary>
    /// <param name="ticks">When, UTC ticks.</param>
    public VacuumStep? EndByValve(long ticks)
    {
        if (Current is not { ByValve: true } step)
        {
            return null;
        }

        step.EndTicks = ticks;
        Current = null;
        return step;
    }

    /// <summary>Takes in the curve's newest reading.</summary>
    /// <param name="curve">The gauge's curve.</param>
    /// <param name="gapTicks">Its gap limit.</param>
    /// <param name="valveSpeaks">Whether the machine's valve is read, and so says where evacuations begin and end.</param>
    /// <param name="step">The evacuation found or ended.</param>
    public VacuumFinding Push(Curve curve, long gapTicks, bool valveSpeaks, out VacuumStep? step)
    {
        step = null;
        long newest = curve.Next - 1;
        double median = PushWindow(curve, newest, gapTicks);
        VacuumFinding finding = Current is null
            ? (valveSpeaks ? VacuumFinding.Nothing : LookForStart(curve, newest, gapTicks))
            : Current.ByValve && valveSpeaks ? VacuumFinding.Nothing : LookForEnd(curve, newest, gapTicks, median);
        step = finding == VacuumFinding.Nothing ? null : Current;
        if (finding == VacuumFinding.Ended)
        {
            Current = null;
        }

        if (Current is null && !double.IsNaN(median))
        {
            Accept(curve.TicksAt(newest), median);
        }

        return finding;
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(_window.Count);
        _window.ForEach(writer.Write);
        writer.Write(_windowFirst);
        writer.Write(_stretchBegan);
        writer.Write(_hour.Count);
        foreach ((long ticks, double pressure) in _hour)
        {
            writer.Write(ticks);
            writer.Write(pressure);
        }

        writer.Write(_restPressure);
        writer.Write(_fellBelowShallow);
        writer.Write(Current is not null);
        Current?.Save(writer);
    }

    public void Load(BinaryReader reader)
    {
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            _window.Add(reader.ReadDouble());
        }

        _windowFirst = reader.ReadInt64();
        _stretchBegan = reader.ReadInt64();
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            _hour.Add((reader.ReadInt64(), reader.ReadDouble()));
        }

        _restPressure = reader.ReadDouble();
        _fellBelowShallow = reader.ReadInt64();
        Current = reader.ReadBoolean() ? VacuumStep.Load(reader) : null;
    }

    private VacuumFinding LookForStart(Curve curve, long newest, long gapTicks)
    {
        double p = curve.ValueAt(newest);
        if (p < FoundBelow * _restPressure)
        {
            _fellBelowShallow = long.MinValue;
            Current = Begin(curve, newest, gapTicks);
            return VacuumFinding.Started;
        }

        if (p < ShallowBelow * _restPressure && _fellBelowShallow == long.MinValue)
        {
            _fellBelowShallow = curve.TicksAt(newest);
        }
        else if (p >= _edgeShare * _restPressure && _fellBelowShallow != long.MinValue)
        {
            bool lasted = curve.TicksAt(newest) - _fellBelowShallow >= ShallowSeconds * Timestamp.TicksPerSecond;
            _fellBelowShallow = long.MinValue;
            return lasted ? VacuumFinding.Shallow : VacuumFinding.Nothing;
        }

        return VacuumFinding.Nothing;
    }

    private VacuumStep Begin(Curve curve, long newest, long gapTicks)
    {
        double edge = _edgeShare * _restPressure;
        CurveView view = curve.View(curve.TicksAt(curve.First), curve.TicksAt(newest), curve.TicksAt(newest), gapTicks);
        for (int i = view.Count - 2; i >= 0; i--)
        {
            if (view[i] >= edge && view[i + 1] < edge)
            {
                bool gap = view.IsGap(i);
                long start = gap ? view.Ticks(i) : view.ToTicks(view.TimeAt(i, edge));
                return new VacuumStep(start, _restPressure, edge) { StartUnsure = gap };
            }
        }

        return new VacuumStep(view.Ticks(0), _restPressure, edge) { StartUnsure = true };
    }

    private VacuumFinding LookForEnd(Curve curve, long newest, long gapTicks, double median)
    {
        double edge = Current!.Edge;
        if (newest > curve.First && curve.ValueAt(newest) >= edge)
        {
            CurveView last = curve.View(curve.TicksAt(newest - 1), curve.TicksAt(newest), curve.TicksAt(newest), gapTicks);
            Current.EndTicks = last[0] < edge && !last.IsGap(0) ? last.ToTicks(last.TimeAt(0, edge)) : last.Ticks(1);
            return VacuumFinding.Ended;
        }

        if (median > RestsAgainAbove * Current.RestPressure)
        {
            Current.EndTicks = curve.TicksAt(newest) - RestTicks;
            return VacuumFinding.Ended;
        }

        return VacuumFinding.Nothing;
    }

    private void Accept(long ticks, double median)
    {
        int old = 0;
        while (old < _hour.Count && _hour[old].Ticks < ticks - HourTicks)
        {
            old++;
        }

        _hour.RemoveRange(0, old);
        if (_hour.Count > 0 && median < LeastShareOfHour * _hour[0].Pressure)
        {
            return;
        }

        while (_hour.Count > 0 && _hour[^1].Pressure <= median)
        {
            _hour.RemoveAt(_hour.Count - 1);
        }

        _hour.Add((ticks, median));
        _restPressure = median;
    }

    /// <summary>Moves the window on; the median if the pressure has rested over all of it, else NaN.</summary>
    private double PushWindow(Curve curve, long newest, long gapTicks)
    {
        long now = curve.TicksAt(newest);
        if (_window.Count == 0 || now - curve.TicksAt(newest - 1) > gapTicks)
        {
            _window.Clear();
            (_windowFirst, _stretchBegan) = (newest, now);
        }

        Insert(curve.ValueAt(newest));
        long from = now - RestTicks;
        while (curve.TicksAt(_windowFirst) < from)
        {
            _window.RemoveAt(_window.BinarySearch(curve.ValueAt(_windowFirst)));
            _windowFirst++;
        }

        if (_stretchBegan > from)
        {
            return double.NaN;
        }

        double begins = StartValue(curve, from);
        double greatest = Math.Max(_window[^1], begins);
        return greatest - Math.Min(_window[0], begins) <= _restBand * greatest ? MedianOfWindow() : double.NaN;
    }

    private double StartValue(Curve curve, long from)
    {
        double first = curve.ValueAt(_windowFirst);
        long past = curve.TicksAt(_windowFirst) - from;
        if (past == 0)
        {
            return first;
        }

        double before = curve.ValueAt(_windowFirst - 1);
        return first + ((before - first) * (past / (double)(curve.TicksAt(_windowFirst) - curve.TicksAt(_windowFirst - 1))));
    }

    private double MedianOfWindow()
    {
        int middle = _window.Count / 2;
        return _window.Count % 2 == 1 ? _window[middle] : (_window[middle - 1] + _window[middle]) / 2;
    }

    private void Insert(double value)
    {
        int at = _window.BinarySearch(value);
        _window.Insert(at < 0 ? ~at : at, value);
    }
}
