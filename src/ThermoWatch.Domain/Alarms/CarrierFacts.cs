using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Alarms;

/// <summary>What conditions may ask about a carrier.</summary>
internal sealed class CarrierFacts(CellFacts facts, CarrierTrack track, Func<CarrierTrack, double> vapourPressure)
{
    private readonly Dictionary<(string Figure, bool Upper, int Channel), Limit?> _limits = [];
    private readonly long[] _notBefore = new long[facts.Channels.Length];
    private readonly (double Ceiling, Limit? TimeAbove)[] _channelLimits = new (double, Limit?)[facts.Channels.Length];
    private List<StepFigures> _voidSteps = [];
    private long _voidStepsOfLook = -1;
    private double? _boiling;
    private long _boilingOfLook = -1;
    private Spec? _limitsOf;
    private bool _knowsLimits; // without a spec there are none, which must be learned too

    private readonly ImmutableArray<ProductWatch> _boards = track.Products.Any(p => p.Track.Definition.Place != Place.Air)
        ? [.. track.Products.Where(p => p.Track.Definition.Place != Place.Air)] : track.Products;

    public string Name => track.Name;

    public Spec? Spec => track.Spec;

    /// <summary>Whether the spec in force is known to be that of what is soldered now.</summary>
    public bool KnowsProduct => track.KnowsProduct;

    /// <summary>Whether the open run has nothing before it but cooling: the machine may show what it will do next.</summary>
    public bool OnlyCools => track.OnlyCools;

    /// <summary>The open run; null if none is.</summary>
    public RunInProgress? Run => track.Run;

    /// <summary>The last run that has ended; null before the first.</summary>
    public RunPicture? Last => track.Last;

    /// <summary>Product channels, air left out unless there is nothing else.</summary>
    public ImmutableArray<ProductWatch> Boards => _boards;

    /// <summary>All product channels.</summary>
    public ImmutableArray<ProductWatch> Products => track.Products;

    /// <summary>Highest boiling point of the spec's fluid that the pressure round the carrier allows, °C; null where it says nothing of the boards.</summary>
    public double? BoilingPoint
    {
        get
        {
            if (_boilingOfLook != facts.LookNumber)
            {
                _boilingOfLook = facts.LookNumber;
                _boiling = Spec?.Fluid is { } fluid && vapourPressure(track) is >= 1 and <= 1e6 and var pressure
                    ? Specs.BoilingPoint.At(fluid, pressure).High
                    : null;
            }

            return _boiling;
        }
    }

    /// <summary>The newest evacuation of the open run; null without one.</summary>
    public VacuumStep? Step => Run is { Steps: { Count: > 0 } steps } ? steps[^1] : null;

    /// <summary>Whether a joint is molten, by the newest readings.</summary>
    public bool AnyHot
    {
        get
        {
            foreach (ProductWatch board in _boards)
            {
                if (board.Hot)
                {
                    return true;
                }
            }

            return false;
        }
    }

    /// <summary>The open run as figures see it.</summary>
    public RunScope Scope() => new(
        facts.Cell, track.Parts, Spec, Run!, facts.Now.UtcTicks, Final: false, RestKnown: !double.IsNaN(facts.RestPressure));

    /// <summary>The evacuations of the open run that work on voids, with their pressure figures.</summary>
    public IReadOnlyList<StepFigures> VoidSteps()
    {
        // Several conditions ask in one look; the answer is the same.
        if (_voidStepsOfLook != facts.LookNumber)
        {
            _voidStepsOfLook = facts.LookNumber;
            _voidSteps = facts.Gauge is null || Run is null ? [] : VacuumFigures.VoidSteps(Scope());
        }

        return _voidSteps;
    }

    /// <summary>The joint that stands least above its liquidus at a time, and by how much; null if no alloy or reading is known.</summary>
    public (ProductWatch Board, double Kelvin)? Coldest(long ticks)
    {
        (ProductWatch Board, double Kelvin)? coldest = null;
        foreach (ProductWatch board in _boards)
        {
            Curve curve = board.Track.Curve;
            if (board.Alloy is not { } alloy || ticks > board.Track.SureUntil || ValueAt(curve, ticks, board.Track.GapTicks) is not { } value)
            {
                continue;
            }

            if (coldest is null || value - alloy.Liquidus < coldest.Value.Kelvin)
            {
                coldest = (board, value - alloy.Liquidus);
            }
        }

        return coldest;
    }

    /// <summary>What is usual in this carrier's runs.</summary>
    public UsualTimes Usual { get; } = new();

    /// <summary>Number of the last run whose soak has been judged.</summary>
    public long SoakJudged { get; set; }

    /// <summary>Whether joints have been molten in the open run, and all of them are solid again.</summary>
    public bool HasFrozen => track.HasFrozen;

    /// <summary>The product channel of that index; null if it is none of this carrier's.</summary>
    public ProductWatch? WatchOf(int channel)
    {
        foreach (ProductWatch watch in track.Products)
        {
            if (watch.Track.Index == channel)
            {
                return watch;
            }
        }

        return null;
    }

    /// <summary>The strictest limit of a figure on one side that holds for a channel, or for any; null if the spec has none.</summary>
    public Limit? LimitOf(string figure, bool upper, int channel = -1)
    {
        LearnSpec();
        if (!_limits.TryGetValue((figure, upper, channel), out Limit? strictest))
        {
            foreach (Limit limit in Spec?.Limits ?? [])
            {
                if (limit.Figure == figure && (upper ? limit.Upper : limit.Lower) is { } value
                    && (channel < 0 || RunEvaluator.HoldsFor(limit, facts.Channels[channel].Definition))
                    && (strictest is null || (upper ? value < strictest.Upper : value > strictest.Lower)))
                {
                    strictest = limit;
                }
            }

            _limits[(figure, upper, channel)] = strictest;
        }

        return strictest;
    }

    /// <summary>Lowest upper limit of a channel's peak, °C; infinite without one.</summary>
    public double CeilingOf(int channel)
    {
        LearnSpec();
        return _channelLimits[channel].Ceiling;
    }

    /// <summary>The strictest upper limit of a channel's time above liquidus; null without one.</summary>
    public Limit? TimeAboveLimitOf(int channel)
    {
        LearnSpec();
        return _channelLimits[channel].TimeAbove;
    }

    /// <summary>Before this a channel's time above liquidus need not be summed anew, UTC ticks. Forgetting it costs time, nothing else.</summary>
    public long NotBefore(int channel) => _notBefore[channel];

    /// <inheritdoc cref="NotBefore"/>
    public void SetNotBefore(int channel, long ticks) => _notBefore[channel] = ticks;

    /// <summary>When the first joint will have been liquid for as long as the spec allows, if all stay so; null without such a limit.</summary>
    public Timestamp? LiquidUntil()
    {
        Timestamp? first = null;
        foreach (ProductWatch board in _boards)
        {
            if (TimeAboveLimitOf(board.Track.Index) is { Upper: { } upper } limit
                && (limit.Level ?? board.Alloy?.Liquidus) is { } level && board.Track.Curve.Count > 0)
            {
                double left = Math.Max(0, upper - LevelSums.TimeAbove(Scope().View(board.Track), level).Low);
                Timestamp until = new Timestamp(board.Track.Curve.LastTicks).AddSeconds(left);
                first = first is null || until < first ? until : first;
            }
        }

        return first;
    }

    private void LearnSpec()
    {
        if (_knowsLimits && ReferenceEquals(_limitsOf, Spec))
        {
            return;
        }

        (_knowsLimits, _limitsOf) = (true, Spec);
        _limits.Clear();
        Array.Clear(_notBefore);
        foreach (ProductWatch watch in track.Products)
        {
            int channel = watch.Track.Index;
            double ceiling = Math.Min(
                LimitOf("peakTemperature", upper: true, channel)?.Upper ?? double.PositiveInfinity,
                LimitOf("sustainedPeak", upper: true, channel)?.Upper ?? double.PositiveInfinity);
            _channelLimits[channel] = (ceiling, LimitOf("timeAboveLiquidus", upper: true, channel));
        }
    }

    private static double? ValueAt(Curve curve, long ticks, long gapTicks)
    {
        long after = curve.FirstAtOrAfter(ticks + 1);
        if (after <= curve.First || ticks - curve.TicksAt(after - 1) > gapTicks)
        {
            return null;
        }

        if (after >= curve.Next || curve.TicksAt(after) - curve.TicksAt(after - 1) > gapTicks)
        {
            return curve.ValueAt(after - 1);
        }

        double share = (ticks - curve.TicksAt(after - 1)) / (double)(curve.TicksAt(after) - curve.TicksAt(after - 1));
        return curve.ValueAt(after - 1) + (share * (curve.ValueAt(after) - curve.ValueAt(after - 1)));
    }
}
