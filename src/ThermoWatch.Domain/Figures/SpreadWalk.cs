using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>Walks along several curves at once, from one time to another, stopping at each reading of any of them.</summary>
internal sealed class SpreadWalk
{
    private readonly (ChannelTrack Track, long At, long End)[] _curves;
    private readonly long _origin;
    private readonly double _until;
    private bool _begun;

    public SpreadWalk(RunScope scope, ChannelFigures[] boards, double from, double until)
    {
        (_origin, _until, Seconds) = (scope.Run.StartTicks, until, from);
        _curves = new (ChannelTrack, long, long)[boards.Length];
        for (int b = 0; b < boards.Length; b++)
        {
            ChannelTrack track = scope.Track(boards[b].Channel);
            long first = track.Curve.FirstAtOrAfter(_origin);
            long at = first + scope.View(track).IndexAtOrBefore(from);
            _curves[b] = (track, Math.Max(at, first), track.Curve.FirstAtOrAfter(scope.EndTicks + 1));
        }
    }

    /// <summary>Where the walk stands, s from the run's start.</summary>
    public double Seconds { get; private set; }

    /// <summary>Highest less lowest of the curves that are known there; NaN if none is.</summary>
    public double Spread { get; private set; }

    /// <summary>Channel of the lowest.</summary>
    public int Coldest { get; private set; }

    /// <summary>Whether every curve is known there.</summary>
    public bool Whole { get; private set; }

    /// <summary>Whether a curve came out of a gap since the last stop.</summary>
    public bool LeftGap { get; private set; }

    /// <summary>Whether a reading was taken there: the walk's ends need not be readings.</summary>
    public bool IsReading { get; private set; }

    public bool MoveNext()
    {
        if (_begun)
        {
            long next = long.MaxValue;
            foreach ((ChannelTrack track, long at, long end) in _curves)
            {
                long following = at < end && SecondsAt(track, at) > Seconds ? at : at + 1;
                next = following < end ? Math.Min(next, track.Curve.TicksAt(following)) : next;
            }

            double seconds = next == long.MaxValue ? double.PositiveInfinity : (next - _origin) / (double)Timestamp.TicksPerSecond;
            if (seconds > _until && Seconds >= _until)
            {
                return false;
            }

            Seconds = Math.Min(seconds, _until);
        }

        _begun = true;
        Compare();
        return true;
    }

    private void Compare()
    {
        (double highest, double lowest) = (double.NegativeInfinity, double.PositiveInfinity);
        (Coldest, Whole, IsReading, LeftGap) = (-1, true, false, false);
        foreach (ref (ChannelTrack Track, long At, long End) curve in _curves.AsSpan())
        {
            while (curve.At + 1 < curve.End && SecondsAt(curve.Track, curve.At + 1) <= Seconds)
            {
                LeftGap |= curve.Track.Curve.TicksAt(curve.At + 1) - curve.Track.Curve.TicksAt(curve.At) > curve.Track.GapTicks;
                curve.At++;
            }

            double value = ValueAt(curve.Track, curve.At, curve.End);
            if (double.IsNaN(value))
            {
                Whole = false;
                continue;
            }

            Coldest = value < lowest ? curve.Track.Index : Coldest;
            (highest, lowest) = (Math.Max(highest, value), Math.Min(lowest, value));
        }

        Spread = Coldest < 0 ? double.NaN : highest - lowest;
    }

    private double ValueAt(ChannelTrack track, long at, long end)
    {
        if (at >= end || SecondsAt(track, at) > Seconds)
        {
            return double.NaN;
        }

        Curve curve = track.Curve;
        double past = Seconds - SecondsAt(track, at);
        if (past == 0)
        {
            IsReading = true;
            return curve.ValueAt(at);
        }

        long length = at + 1 < end ? curve.TicksAt(at + 1) - curve.TicksAt(at) : long.MaxValue;
        return at + 1 >= end || length > track.GapTicks
            ? double.NaN
            : curve.ValueAt(at) + ((curve.ValueAt(at + 1) - curve.ValueAt(at)) * (past * Timestamp.TicksPerSecond / length));
    }

    private double SecondsAt(ChannelTrack track, long at) => (track.Curve.TicksAt(at) - _origin) / (double)Timestamp.TicksPerSecond;
}
