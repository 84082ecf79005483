using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Finds the dip that a cold load makes in the vapour's temperature.</summary>
internal sealed class VapourWatch(ChannelTrack track)
{
    /// <summary>Over this long the level is steady, ticks.</summary>
    public const long SteadyTicks = 20 * Timestamp.TicksPerSecond;

    private const double SteadyKelvin = 1;
    private const double DipKelvin = 3;
    private const double NoiseFactor = 6;
    private const double BackWithinKelvin = 1;

    // Values of the last 20 s in order of size.
    private readonly List<double> _window = [];
    private long _windowFirst;
    private long _stretchBegan;
    private double _level = double.NaN;
    private bool _inDip;

    public ChannelTrack Track => track;

    /// <summary>A fall deeper than this is more than noise, K.</summary>
    public static double LeastDip(double noiseSigma) => Math.Max(DipKelvin, NoiseFactor * noiseSigma);

    /// <summary>A level that moves by no more than this is steady, K.</summary>
    public static double SteadySpread(double noiseSigma) => Math.Max(SteadyKelvin, NoiseFactor * noiseSigma);

    /// <summary>Takes in the curve's newest reading.</summary>
    /// <param name="chamberRests">Whether the chamber's pressure rests: in a vacuum the vapour cools without any load.</param>
    /// <returns>Where a dip began that has just been found; else null.</returns>
    public long? Push(bool chamberRests)
    {
        Curve curve = track.Curve;
        double value = curve.LastValue;
        PushWindow(curve);
        double spread = _window[^1] - _window[0];
        if (curve.LastTicks - _stretchBegan >= SteadyTicks && spread <= SteadySpread(track.NoiseSigma))
        {
            (_level, _inDip) = (_window[_window.Count / 2], false);
            return null;
        }

        if (_inDip || !(value < _level - LeastDip(track.NoiseSigma)))
        {
            return null;
        }

        double back = _level - BackWithinKelvin;

        // Until it has been steady again, what falls is the same load, or no load at all.
        (_inDip, _level) = (true, double.NaN);
        if (!chamberRests)
        {
            return null;
        }

        long at = curve.Next - 1;
        while (at > curve.First && curve.ValueAt(at) < back)
        {
            at--;
        }

        return curve.TicksAt(at);
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(_window.Count);
        _window.ForEach(writer.Write);
        writer.Write(_windowFirst);
        writer.Write(_stretchBegan);
        writer.Write(_level);
        writer.Write(_inDip);
    }

    public void Load(BinaryReader reader)
    {
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            _window.Add(reader.ReadDouble());
        }

        _windowFirst = reader.ReadInt64();
        _stretchBegan = reader.ReadInt64();
        _level = reader.ReadDouble();
        _inDip = reader.ReadBoolean();
    }

    private void PushWindow(Curve curve)
    {
        long newest = curve.Next - 1;
        long now = curve.LastTicks;
        if (_window.Count == 0 || now - curve.TicksAt(newest - 1) > track.GapTicks)
        {
            _window.Clear();
            (_windowFirst, _stretchBegan) = (newest, now);
        }

        double value = curve.LastValue;
        int at = _window.BinarySearch(value);
        _window.Insert(at < 0 ? ~at : at, value);
        while (curve.TicksAt(_windowFirst) < now - SteadyTicks)
        {
            _window.RemoveAt(_window.BinarySearch(curve.ValueAt(_windowFirst)));
            _windowFirst++;
        }
    }
}
