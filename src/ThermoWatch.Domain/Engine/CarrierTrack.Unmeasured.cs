using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <content>What is not shown by product sensors: signals, and the rules for runs without them.</content>
internal sealed partial class CarrierTrack
{
    private const string VapourPhase = "vapour";

    /// <summary>Whether any product channel gives readings now.</summary>
    public bool IsGiving(Timestamp now)
    {
        foreach (ProductWatch watch in _boards)
        {
            if (watch.Track.Curve.Count > 0 && now.UtcTicks - watch.Track.Curve.LastTicks <= watch.Track.GapTicks)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Whether a run without product sensors may begin here. A machine that says that it is not running is believed.</summary>
    public bool Waits(Timestamp now) => Run is null && !IsGiving(now) && !(parts.Running is { Value: 0 } running && running.IsFresh(now));

    /// <summary>Whether the end of the open run will be said: by a signal or position, or by the next start.</summary>
    public bool EndIsSaid => parts.EndIsWired || Run?.StartReason == RunStart.Signal;

    /// <summary>Whether the open run began before its load came into the vapour: then a dip at that time is its own.</summary>
    public bool ExpectsDip(long ticks) => Run is { StartReason: not ("vapourDip" or "vacuum") } run && ticks >= run.StartTicks && !run.Told.Contains(VapourPhase);

    /// <summary>
    /// The machine says that a run begins: whether it is the one that something else has shown already, such as the carrier's
    /// position. What has been through vapour or vacuum is the one before it.
    /// </summary>
    public bool TakesAsItsOwn()
    {
        if (Run is not { StartReason: not RunStart.Signal, PassedSoakStart: false, TransportPassedSoakStart: false, Steps.Count: 0 } run || run.Told.Contains(VapourPhase))
        {
            return false;
        }

        run.StartReason = RunStart.Signal;
        return true;
    }

    /// <summary>Whether joints have been molten in the open run, and all of them are solid again.</summary>
    public bool HasFrozen
    {
        get
        {
            bool molten = false;
            foreach (ProductWatch board in _boards)
            {
                if (board.Alloy is not { } alloy || board.Track.Curve.Count == 0 || !board.Track.IsSure)
                {
                    continue;
                }

                molten |= board.Highest >= alloy.Liquidus + Crossings.TemperatureHysteresis;
                if (board.Track.Curve.LastValue >= alloy.Solidus - Crossings.TemperatureHysteresis)
                {
                    return false;
                }
            }

            return molten;
        }
    }

    /// <summary>Whether the open run has nothing before it but cooling: the machine may show already what it does next.</summary>
    public bool OnlyCools => Run is not null && (HasFrozen || Run is { IsMeasured: false, Steps: [.., { EndTicks: not null }] } || TransportIsBack);

    /// <summary>Whether the transport of a run without product sensors has been through the heat and is cool again.</summary>
    private bool TransportIsBack =>
        Run is { IsMeasured: false, TransportPassedSoakStart: true } && parts.Transports.All(t => t.Curve.LastValue < cell.Rules.CooledBelow);

    /// <summary>Whether the carrier's own position says that it is where the vacuum is.</summary>
    public bool IsInChamber(Timestamp now) => parts.Position is { } position && position.IsFresh(now)
        && (cell.Rules.ChamberPosition is { } chamber ? position.Number == chamber : position.Value != 0);

    /// <summary>Hottest product channel, or else transport sensor, at a time; negative infinity if none was known.</summary>
    public double HottestAt(long ticks)
    {
        double hottest = double.NegativeInfinity;
        foreach (ProductWatch watch in parts.Products)
        {
            hottest = Math.Max(hottest, ValueBefore(watch.Track.Curve, ticks));
        }

        foreach (ChannelTrack transport in parts.Transports)
        {
            hottest = double.IsFinite(hottest) ? hottest : ValueBefore(transport.Curve, ticks);
        }

        return hottest;
    }

    /// <summary>Whether a board is being heated: then a dip of the vapour is its doing.</summary>
    public bool IsBeingHeated(Timestamp now)
    {
        const double Heated = 2;
        foreach (ProductWatch watch in _boards)
        {
            if (watch.Track.Curve.Count > 0 && now.UtcTicks - watch.Track.Curve.LastTicks <= watch.Track.GapTicks
                && watch.RiseOfMinute(FloorTicks) >= Heated)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>A signal of the carrier, or one that all share, has changed.</summary>
    public void OnSignal(SignalWatch signal)
    {
        if (Run is null)
        {
            return;
        }

        // Once the boards only cool, a number that changes is the next run's.
        if (signal == parts.Recipe && signal.Number is { } recipe && !(Run.Recipe is not null && OnlyCools))
        {
            if (Run.Recipe is { } before && before != recipe)
            {
                Run.Note("recipeChanged");
            }

            Run.Recipe = recipe;
        }
        else if (signal == parts.Load && signal.Number is { } load && !(Run.MachineLoad is not null && OnlyCools))
        {
            Run.MachineLoad = load;
        }
        else if (signal == parts.Manual && signal.Value != 0)
        {
            Run.Note(Intervened);
        }
    }

    /// <summary>Somebody said that they acted on the machine.</summary>
    public void Intervene() => Run?.Note(Intervened);

    /// <summary>Somebody said what the open run is for.</summary>
    public void Say(RunKind kind)
    {
        if (Run is { } run)
        {
            (run.Kind, run.KindSaid) = (kind, true);
        }
    }

    /// <summary>The curve of the transport's own sensor has grown.</summary>
    public void OnTransport(ChannelTrack transport, List<EngineEvent> events)
    {
        if (Run is not { IsMeasured: false } run || !parts.Transports.Contains(transport) || transport.Curve.LastTicks < run.StartTicks)
        {
            return;
        }

        double value = transport.Curve.LastValue;
        run.TransportPassedSoakStart |= value >= (Spec?.Soak?.From ?? ChannelLevels.DefaultSoakFrom);
        if (run.TransportPassedSoakStart && value < cell.Rules.CooledBelow && !parts.EndIsWired && cell.Rules.DetectRuns)
        {
            var now = new Timestamp(transport.Curve.LastTicks);
            End(now.UtcTicks, "cooled", RunState.Ended, now, events);
        }
    }

    /// <summary>Ends the run where time alone does: long after its vent without product sensors, or because it is too old.</summary>
    public void OnTime(Timestamp now, List<EngineEvent> events)
    {
        if (Run is null || !cell.Rules.DetectRuns)
        {
            return;
        }

        // A transport sensor that is warm will show when the carrier has cooled.
        if (Run is { IsMeasured: false, Steps: [.., { EndTicks: { } vented }], TransportPassedSoakStart: false } && !parts.EndIsWired
            && now.UtcTicks - vented > cell.Rules.EndAfterVent.Ticks)
        {
            End(vented, "vented", RunState.Ended, now, events);
        }
        else if (now.UtcTicks - Run.StartTicks > Math.Max(cell.Rules.AbandonAfter.Ticks, 3 * _usualCycle))
        {
            End(now.UtcTicks, "abandoned", RunState.Abandoned, now, events);
        }
    }

    /// <summary>The vapour's curve has grown: once a second, until it is told, the load may turn out to be in the vapour.</summary>
    public void OnVapour(ChannelTrack vapour, List<EngineEvent> events)
    {
        Curve curve = vapour.Curve;
        if (Run is { IsMeasured: false } run && !run.Told.Contains(VapourPhase) && curve.Count > 1
            && Second(curve.LastTicks) != Second(curve.TicksAt(curve.Next - 2)))
        {
            TellPhases(new Timestamp(curve.LastTicks), events);
        }

        // Seconds of the run, not of the clock: a run says the same whenever it was lived.
        long Second(long ticks) => (ticks - Run.StartTicks) / Timestamp.TicksPerSecond;
    }

    private void AddVapourPhase(ImmutableArray<PhaseSpan>.Builder phases, RunInProgress run, long to, bool open)
    {
        var vapour = VapourFigures.Of(ScopeOf(run, to, final: !open));
        if (vapour.Stay is not { } stay || (open && stay.To is null && !vapour.IsSteady))
        {
            return;
        }

        Timestamp start = new Timestamp(run.StartTicks).AddSeconds(stay.From);
        Timestamp? left = stay.To is { } seconds ? new Timestamp(run.StartTicks).AddSeconds(seconds) : open ? null : new Timestamp(to);
        phases.Add(new PhaseSpan(PhaseTrack.Thermal, VapourPhase, start, left));
    }

    private static double ValueBefore(Curve curve, long ticks)
    {
        long after = curve.FirstAtOrAfter(ticks + 1);
        return after > curve.First ? curve.ValueAt(after - 1) : double.NegativeInfinity;
    }

    /// <summary>
    /// A product sensor gave a reading: that makes it an instrumented run, unless somebody has said otherwise. One that is plugged in
    /// while boards without sensors cool is on the next boards.
    /// </summary>
    private void SeeProduct(long ticks)
    {
        if (Run!.HasProduct || ticks < Run.StartTicks || OnlyCools)
        {
            return;
        }

        Run.HasProduct = true;
        if (!Run.KindSaid)
        {
            Run.Kind = RunKind.Profile;
        }
    }
}
