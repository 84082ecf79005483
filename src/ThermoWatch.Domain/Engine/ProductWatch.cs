using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>What the rules for a run's start, phases and end must remember of one product channel.</summary>
internal sealed class ProductWatch(ChannelTrack track)
{
    private const long StartWindow = 10 * Timestamp.TicksPerSecond;
    private const long FlatWindow = 60 * Timestamp.TicksPerSecond;
    private const long FlatTicks = 120 * Timestamp.TicksPerSecond;
    private const long LeastWindow = 60 * Timestamp.TicksPerSecond;

    private SlidingSlope _start = new(StartWindow);
    private SlidingSlope _flat = new(FlatWindow);
    private double[] _marks = [];
    private int _mark;
    private long _flatSince = long.MaxValue;

    private readonly LiftWatch _lift = new(track);

    public ChannelTrack Track { get; } = track;

    /// <summary>Whether it shows the product and not the air beside it.</summary>
    public bool IsProduct { get; } = track.Definition.Place != Place.Air;

    /// <summary>Alloy at this place; null while no spec says.</summary>
    public Alloy? Alloy { get; private set; }

    /// <summary>Whether the newest reading shows a board being heated.</summary>
    public bool Rising { get; private set; }

    /// <summary>Highest value of the run, °C.</summary>
    public double Highest { get; private set; } = double.NegativeInfinity;

    /// <summary>Least value since the highest, °C.</summary>
    public double LeastSince { get; private set; } = double.PositiveInfinity;

    /// <summary>When that was.</summary>
    public long LeastTicks { get; private set; }

    /// <summary>How many of the levels at which phases begin the run has passed here.</summary>
    public int MarksPassed => _mark;

    /// <summary>Whether the joint is molten, with the hysteresis of events.</summary>
    public bool Hot { get; private set; }

    /// <summary>Whether the curve has been flat for two minutes: every minute's slope in them was small.</summary>
    public bool AtRest => Track.Curve.Count > 0 && Track.Curve.LastTicks - _flatSince >= FlatTicks;

    public void Use(Spec? spec)
    {
        Alloy = spec?.AlloyOf(Track.Definition.Id);
        double soakFrom = spec?.Soak?.From ?? ChannelLevels.DefaultSoakFrom;
        double?[] levels = [40, soakFrom, spec?.Soak?.To, Alloy?.Liquidus];
        _marks = [.. levels.OfType<double>().Order()];
        _mark = 0;
        while (_mark < _marks.Length && Highest >= _marks[_mark] + Crossings.TemperatureHysteresis)
        {
            _mark++;
        }

        if (Track.Curve.Count > 0)
        {
            Hot = Alloy is not null && Track.Curve.LastValue >= Alloy.Liquidus;
        }
    }

    /// <summary>Takes in the curve's newest reading while the carrier waits for a run.</summary>
    /// <param name="rules">The cell's rules.</param>
    /// <param name="floorTicks">End of the carrier's previous run.</param>
    public void PushIdle(CellRules rules, long floorTicks)
    {
        _start.Push(Track.Curve, Track.Curve.Next - 1, Track.GapTicks);
        Rising = _start.Slope >= rules.StartSlope && Track.Curve.LastValue - LeastOfMinute(floorTicks) >= rules.StartRise;
    }

    /// <summary>Takes in the curve's newest reading during a run; true if a phase may have begun or ended.</summary>
    /// <param name="rules">The cell's rules.</param>
    public bool PushRunning(CellRules rules)
    {
        if (rules.DetectRuns) // else nobody asks: a run ends when it is told to
        {
            PushFlat(Track.Curve.Next - 1, rules.FlatSlope);
        }

        return Observe(Track.Curve.LastTicks, Track.Curve.LastValue);
    }

    /// <summary>Whether the curve's newest reading shows that the thermocouple has come off.</summary>
    /// <param name="boards">All channels that show the carrier's boards.</param>
    /// <param name="startTicks">Where the run begins.</param>
    public bool HasLifted(ImmutableArray<ProductWatch> boards, long startTicks) =>
        Track.IsSure
        && (_lift.IsSuspicious || Highest - Track.Curve.LastValue >= LiftWatch.LeastFall) // most readings go no further
        && _lift.Push(boards, startTicks);

    /// <summary>Where the curve last was within 1 K of its least value of the last minute.</summary>
    public long FootTicks(long floorTicks)
    {
        double least = LeastOfMinute(floorTicks);
        for (long i = Track.Curve.Next - 1; i > Track.Curve.First; i--)
        {
            if (Track.Curve.ValueAt(i) <= least + 1)
            {
                return Track.Curve.TicksAt(i);
            }
        }

        return Track.Curve.TicksAt(Track.Curve.First);
    }

    /// <summary>How far the curve stands above its least value of the last minute, K.</summary>
    public double RiseOfMinute(long floorTicks) => Track.Curve.LastValue - LeastOfMinute(floorTicks);

    /// <summary>Begins a run: what lies between its start and now is taken in.</summary>
    public void BeginRun(long startTicks, Spec? spec)
    {
        (Highest, LeastSince, LeastTicks, Rising, Hot) = (double.NegativeInfinity, double.PositiveInfinity, 0, false, false);
        _flat.Reset();
        _flatSince = long.MaxValue;
        _lift.Reset();
        for (long i = Track.Curve.FirstAtOrAfter(startTicks); i < Track.Curve.Next; i++)
        {
            Observe(Track.Curve.TicksAt(i), Track.Curve.ValueAt(i));
        }

        Use(spec);
    }

    /// <summary>Ends a run: what came after its end belongs to the next one.</summary>
    /// <param name="endTicks">Its end.</param>
    public void EndRun(long endTicks)
    {
        Track.Curve.DropBefore(endTicks);
        _start.Reset();
        _lift.Reset();
        Rising = Hot = false;
        // A channel whose newest reading still lies before the end has nothing to begin with: that reading will be dropped.
        for (long i = Track.Curve.FirstAtOrAfter(endTicks); i < Track.Curve.Next; i++)
        {
            _start.Push(Track.Curve, i, Track.GapTicks);
        }
    }

    public void Save(BinaryWriter writer)
    {
        _start.Save(writer);
        _flat.Save(writer);
        writer.Write(_flatSince);
        writer.Write(_mark);
        writer.Write(Rising);
        writer.Write(Highest);
        writer.Write(LeastSince);
        writer.Write(LeastTicks);
        writer.Write(Hot);
        _lift.Save(writer);
    }

    /// <summary>Reads what <see cref="Save"/> wrote; the spec must be in use already.</summary>
    public void Load(BinaryReader reader)
    {
        _start.Load(reader);
        _flat.Load(reader);
        _flatSince = reader.ReadInt64();
        _mark = reader.ReadInt32();
        Rising = reader.ReadBoolean();
        Highest = reader.ReadDouble();
        LeastSince = reader.ReadDouble();
        LeastTicks = reader.ReadInt64();
        Hot = reader.ReadBoolean();
        _lift.Load(reader);
    }

    private void PushFlat(long newest, double flatSlope)
    {
        _flat.Push(Track.Curve, newest, Track.GapTicks);
        if (!_flat.IsFlatterThan(flatSlope))
        {
            _flatSince = long.MaxValue;
        }
        else if (_flatSince == long.MaxValue)
        {
            _flatSince = Track.Curve.TicksAt(newest) - FlatWindow;
        }
    }

    private bool Observe(long ticks, double value)
    {
        if (value > Highest)
        {
            (Highest, LeastSince, LeastTicks) = (value, value, ticks);
        }
        else if (value < LeastSince)
        {
            (LeastSince, LeastTicks) = (value, ticks);
        }

        bool changed = false;
        while (_mark < _marks.Length && value >= _marks[_mark] + Crossings.TemperatureHysteresis)
        {
            _mark++;
            changed = true;
        }

        if (Alloy is { } alloy)
        {
            bool hot = Hot ? value > alloy.Liquidus - Crossings.TemperatureHysteresis : value >= alloy.Liquidus + Crossings.TemperatureHysteresis;
            changed |= hot != Hot;
            Hot = hot;
        }

        return changed;
    }

    private double LeastOfMinute(long floorTicks)
    {
        Curve curve = Track.Curve;
        double least = double.PositiveInfinity;
        for (long i = curve.FirstAtOrAfter(Math.Max(floorTicks, curve.LastTicks - LeastWindow)); i < curve.Next; i++)
        {
            least = Math.Min(least, curve.ValueAt(i));
        }

        return least;
    }
}
