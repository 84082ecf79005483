using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Least-squares slope over the last stretch of a growing curve.</summary>
/// <remarks>A gap begins it anew: a slope across the unknown is none. The curve must still hold the whole stretch.</remarks>
internal struct SlidingSlope(long windowTicks)
{
    private const double TickSeconds = 1.0 / Timestamp.TicksPerSecond;

    private readonly long _windowTicks = windowTicks;
    private readonly double _leastTicks = SlopeWindow.LeastSpan * windowTicks;
    private LineFit _fit;
    private long _first;
    private long _anchoredUntil = -1;
    private long _originTicks;

    private bool _enough;

    /// <summary>Slope per second; NaN unless at least 5 readings span nine tenths of the window.</summary>
    public readonly double Slope => _enough ? _fit.Slope : double.NaN;

    /// <summary>Whether there is a slope, and it is less than this either way.</summary>
    public readonly bool IsFlatterThan(double slope) => _enough && _fit.IsFlatterThan(slope);

    /// <summary>Takes in the curve's next reading.</summary>
    public void Push(Curve curve, long newest, long gapTicks)
    {
        if (_fit.Count == 0 || curve.TicksAt(newest) - curve.TicksAt(newest - 1) > gapTicks)
        {
            Anchor(curve, newest, newest);
        }
        else
        {
            Add(curve, newest);
            long from = unchecked(curve.TicksAt(newest) - _windowTicks);
            while (curve.TicksAt(_first) < from)
            {
                _fit.Remove(SecondsAt(curve, _first), curve.ValueAt(_first));
                unchecked
                {
                    _first++;
                }
            }

            if (_first > _anchoredUntil)
            {
                Anchor(curve, _first, newest);
            }
        }

        _enough = _fit.Count >= 5 && curve.TicksAt(newest) - curve.TicksAt(_first) >= _leastTicks;
    }

    public void Reset() => (_fit, _enough) = (default, false);

    public readonly void Save(BinaryWriter writer)
    {
        _fit.Save(writer);
        writer.Write(_first);
        writer.Write(_anchoredUntil);
        writer.Write(_originTicks);
        writer.Write(Slope);
    }

    public void Load(BinaryReader reader)
    {
        _fit = LineFit.Load(reader);
        _first = reader.ReadInt64();
        _anchoredUntil = reader.ReadInt64();
        _originTicks = reader.ReadInt64();
        _enough = !double.IsNaN(reader.ReadDouble());
    }

    private void Anchor(Curve curve, long first, long newest)
    {
        // Rounding must not add up over days: each reading is summed a second time once, and that is all it costs.
        (_first, _anchoredUntil, _originTicks) = (first, newest, curve.TicksAt(first));
        _fit = new LineFit(0, curve.ValueAt(first));
        for (long i = first; i <= newest; i++)
        {
            Add(curve, i);
        }
    }

    private void Add(Curve curve, long sequence) => _fit.Add(SecondsAt(curve, sequence), curve.ValueAt(sequence));

    private readonly double SecondsAt(Curve curve, long sequence) =>
        unchecked(curve.TicksAt(sequence) - _originTicks) * TickSeconds;
}
