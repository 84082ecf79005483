using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Figures;

/// <summary>Walks along several curves at once, from one time to another, stopping at each reading of any of them.</summary>
internal sealed class SpreadWalk
{
    private readonly Place[] _curves;
    private readonly long _origin;
    private readonly double _until;
    private long _now;
    private bool _isOnTick;
    private bool _begun;

    public SpreadWalk(RunScope scope, ChannelFigures[] boards, double from, double until)
    {
        (_origin, _until, Seconds) = (scope.Run.StartTicks, until, from);
        _curves = new Place[boards.Length];
        for (int b = 0; b < boards.Length; b++)
        {
            ChannelTrack track = scope.Track(boards[b].Channel);
            long first = track.Curve.FirstAtOrAfter(_origin);
            long at = first + scope.View(track).IndexAtOrBefore(from);
            _curves[b] = new Place(track, Math.Max(at, first), track.Curve.FirstAtOrAfter(scope.LastTicks(track) + 1));
        }

        StandAt(from);
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
            foreach (ref Place curve in _curves.AsSpan())
            {
                next = Math.Min(next, curve.AtTicks > _now ? curve.AtTicks : curve.NextTicks);
            }

            double seconds = next == long.MaxValue ? double.PositiveInfinity : ToSeconds(next);
            if (seconds > _until && Seconds >= _until)
            {
                return false;
            }

            if (seconds <= _until)
            {
                (Seconds, _now, _isOnTick) = (seconds, next, true);
            }
            else
            {
                StandAt(_until);
            }
        }

        _begun = true;
        Compare();
        return true;
    }

    private void Compare()
    {
        (double highest, double lowest) = (double.NegativeInfinity, double.PositiveInfinity);
        (int coldest, bool whole, bool isReading, bool leftGap) = (-1, true, false, false);
        foreach (ref Place curve in _curves.AsSpan())
        {
            while (curve.NextTicks <= _now)
            {
                leftGap |= curve.IsGap;
                curve.Step();
            }

            bool isHere = _isOnTick && curve.AtTicks == _now;
            if (!isHere && (curve.AtTicks > _now || curve.NextTicks == long.MaxValue || curve.IsGap))
            {
                whole = false;
                continue;
            }

            isReading |= isHere;
            double value = isHere ? curve.AtValue : curve.ValueAfter(Seconds - ToSeconds(curve.AtTicks));
            if (value < lowest)
            {
                (lowest, coldest) = (value, curve.Channel);
            }

            highest = value > highest ? value : highest;
        }

        (Coldest, Whole, IsReading, LeftGap) = (coldest, whole, isReading, leftGap);
        Spread = coldest < 0 ? double.NaN : highest - lowest;
    }

    /// <summary>Stands at a time that need not be a reading's: between two ticks the earlier one counts as passed.</summary>
    private void StandAt(double seconds)
    {
        const double OneTick = 1e-3;
        double ticks = seconds * Timestamp.TicksPerSecond;
        double whole = Math.Round(ticks);
        _isOnTick = Math.Abs(ticks - whole) < OneTick;
        (Seconds, _now) = (seconds, _origin + (long)(_isOnTick ? whole : Math.Floor(ticks)));
    }

    private double ToSeconds(long ticks) => unchecked(ticks - _origin) / (double)Timestamp.TicksPerSecond;

    /// <summary>A place on one curve: the reading at or before it, and the one after.</summary>
    private struct Place
    {
        private readonly ChannelTrack _track;
        private readonly long _end;
        private long _at;
        private double _nextValue;

        public Place(ChannelTrack track, long at, long end)
        {
            (_track, _at, _end) = (track, at, end);
            (AtTicks, AtValue) = at >= end ? (long.MaxValue, double.NaN) : (track.Curve.TicksAt(at), track.Curve.ValueAt(at));
            Look();
        }

        public readonly int Channel => _track.Index;

        public long AtTicks { get; private set; }

        public double AtValue { get; private set; }

        /// <summary>The largest number if the curve ends here.</summary>
        public long NextTicks { get; private set; }

        public readonly bool IsGap => unchecked(NextTicks - AtTicks) > _track.GapTicks;

        public void Step()
        {
            (_at, AtTicks, AtValue) = (_at + 1, NextTicks, _nextValue);
            Look();
        }

        public readonly double ValueAfter(double seconds) =>
            AtValue + ((_nextValue - AtValue) * (seconds * Timestamp.TicksPerSecond / (NextTicks - AtTicks)));

        private void Look()
        {
            bool ends = _at + 1 >= _end;
            NextTicks = ends ? long.MaxValue : _track.Curve.TicksAt(_at + 1);
            _nextValue = ends ? double.NaN : _track.Curve.ValueAt(_at + 1);
        }
    }
}
