using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <content>What all carriers share: the chamber, the vapour, and the machine's signals.</content>
public sealed partial class CellEngine
{
    private readonly SignalWatch? _valve;
    private readonly SignalWatch? _chamberPosition;
    private readonly VapourWatch? _vapour;
    private readonly ChannelTrack? _barometer;

    // An evacuation goes on that belongs to no run: one that is found late may still have it.
    private bool _ownerless;

    private CarrierParts PartsOf(string name, ImmutableArray<ProductWatch> products)
    {
        bool IsOwn(ChannelTrack c) => c.Definition.Carrier == name || (c.Definition.Carrier is null && _cell.Carriers.Count == 1);
        ChannelTrack? Shared(ChannelRole role) => _channels.FirstOrDefault(c => c.Definition.Role == role);

        // Its own signal, or else one that all share.
        SignalWatch? Signal(SignalMeaning meaning) => _signals.OfType<SignalWatch>()
            .Where(s => s.Track.Definition is { Role: ChannelRole.Signal } d && d.Signal == meaning && (d.Carrier ?? name) == name)
            .OrderBy(s => s.Track.Definition.Carrier is null).FirstOrDefault();

        SignalWatch? position = _signals.FirstOrDefault(s => s?.Track.Definition is { Role: ChannelRole.Position } d && d.Carrier == name);
        return new CarrierParts
        {
            Products = products,
            Transports = [.. _channels.Where(c => c.Definition.Role == ChannelRole.Transport && IsOwn(c))],
            Gauge = _gauge,
            Vapour = Shared(ChannelRole.Vapour),
            Barometer = Shared(ChannelRole.Barometer),
            Recipe = Signal(SignalMeaning.Recipe),
            Load = Signal(SignalMeaning.Load),
            Manual = Signal(SignalMeaning.Manual),
            Running = Signal(SignalMeaning.Running),
            Position = position,
            EndIsWired = (Signal(SignalMeaning.Unload) ?? Signal(SignalMeaning.Running) ?? position ?? _chamberPosition) is not null,
        };
    }

    private void OnPressure(List<EngineEvent> events)
    {
        Curve curve = _gauge!.Curve;
        var now = new Timestamp(curve.LastTicks);
        VacuumFinding finding = _vacuum.Push(curve, _gauge.GapTicks, _valve?.IsFresh(now) == true, out VacuumStep? step);
        if (finding == VacuumFinding.Started)
        {
            GiveStep(step!, now, events);
        }

        bool crossed = false;
        long keepFrom = curve.LastTicks - PressureHistoryTicks;
        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.Run is not { } run)
            {
                continue;
            }

            keepFrom = Math.Min(keepFrom, run.StartTicks);
            crossed = step is not null || (carrier.Spec?.Vacuum is { } vacuum && CrossedNow(curve, vacuum.TargetOf(Math.Max(0, run.Steps.Count - 1))));
            if (finding == VacuumFinding.Shallow)
            {
                run.Note("shallowEvacuation");
            }

            if (crossed && run.Steps.Count > 0)
            {
                carrier.TellPhases(now, events);
            }
        }

        _ownerless &= _vacuum.Current is not null;
        curve.DropBefore(keepFrom);
    }

    private void OnValve(SignalStep valve, List<EngineEvent> events)
    {
        var time = new Timestamp(valve.Ticks);
        if (valve.After != 0)
        {
            if (_vacuum.BeginByValve(valve.Ticks, valve.Unsure) is { } begun)
            {
                GiveStep(begun, time, events);
            }
        }
        else if (_vacuum.EndByValve(valve.Ticks) is not null)
        {
            _ownerless = false;
        }

        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.Run is { Steps.Count: > 0 })
            {
                carrier.TellPhases(time, events);
            }
        }
    }

    private static bool CrossedNow(Curve curve, double level) => curve.Count > 1
        && (curve.LastValue <= level) != (curve.ValueAt(curve.Next - 2) <= level);

    /// <summary>Finds the carrier that an evacuation works on; without product sensors it may be what shows a run.</summary>
    private void GiveStep(VacuumStep step, Timestamp now, List<EngineEvent> events)
    {
        CarrierTrack? named = InChamber(now);
        CarrierTrack? owner = named ?? HottestOpen(step.StartTicks);
        if (owner is not { Run: not null } && _cell.Rules.DetectRuns
            && (named ?? Array.Find(_carriers, c => c.Waits(now))) is { } waiting && waiting.Waits(now))
        {
            long start = Math.Max(step.StartTicks, waiting.FloorTicks);
            waiting.Begin(new RunStart(start, "vacuum", now, NotSeen: true), ref _nextRunNumber, events);
            owner = waiting;
        }

        owner?.Run?.Steps.Add(step);
        _ownerless = owner?.Run is null;
    }

    /// <summary>Gives the evacuation that goes on to a run that turned out to have begun before it.</summary>
    private void AdoptStep()
    {
        CarrierTrack? named = InChamber(_now);
        if (_vacuum.Current is { } step && (named ?? HottestOpen(step.StartTicks))?.Run is { } run && run.StartTicks <= step.StartTicks)
        {
            run.Steps.Add(step);
            _ownerless = false;
        }
    }

    /// <summary>The carrier that a position names as being in the chamber; null if none does, or several.</summary>
    private CarrierTrack? InChamber(Timestamp now)
    {
        if (_chamberPosition is { } shared && shared.IsFresh(now))
        {
            return CarrierByNumber(shared.Value);
        }

        CarrierTrack? only = null;
        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.IsInChamber(now))
            {
                if (only is not null)
                {
                    return null;
                }

                only = carrier;
            }
        }

        return only;
    }

    private CarrierTrack? CarrierByNumber(double number) =>
        number >= 1 && number <= _carriers.Length ? _carriers[(int)Math.Round(number) - 1] : null;

    /// <summary>The carrier with the hottest product channel at that time: the chamber is working on it.</summary>
    private CarrierTrack? HottestOpen(long ticks)
    {
        CarrierTrack? best = null;
        double hottest = double.NegativeInfinity;
        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.Run is null)
            {
                continue;
            }

            best ??= carrier;
            if (carrier.HottestAt(ticks) is var value && value > hottest)
            {
                (best, hottest) = (carrier, value);
            }
        }

        return best;
    }

    /// <summary>
    /// Pressure at which the vapour boils round a carrier, mbar; NaN where that says nothing of its boards: without a run,
    /// from its first evacuation on, while the pressure moves, and where the station heats otherwise.
    /// </summary>
    private double VapourPressureFor(CarrierTrack carrier)
    {
        if (carrier.Run is not { Steps.Count: 0 } || !_cell.Rules.VapourIsHottest)
        {
            return double.NaN;
        }

        ChannelTrack? gauge = _gauge ?? _barometer;
        return gauge is { Curve.Count: > 0 } && _now.UtcTicks - gauge.Curve.LastTicks <= Math.Max(gauge.GapTicks, WeatherTicks(gauge))
            && (gauge != _gauge || _vacuum.Rests(gauge.Curve))
            ? gauge.Curve.LastValue
            : double.NaN;
    }

    // A barometer that was read ten minutes ago still serves: weather is slow.
    private static long WeatherTicks(ChannelTrack gauge) => gauge.Definition.Role == ChannelRole.Barometer ? 600 * Timestamp.TicksPerSecond : 0;

    /// <summary>A channel that belongs to no product has grown.</summary>
    private void OnShared(ChannelTrack channel, List<EngineEvent> events)
    {
        long keepFrom = channel.Curve.LastTicks - RunRules.HistoryTicks;
        if (channel.Definition.Role is ChannelRole.Vapour or ChannelRole.Transport or ChannelRole.Barometer)
        {
            foreach (CarrierTrack carrier in _carriers)
            {
                keepFrom = Math.Min(keepFrom, (carrier.Run?.StartTicks ?? long.MaxValue - VapourWatch.SteadyTicks) - VapourWatch.SteadyTicks);
            }
        }

        if (channel == _vapour?.Track)
        {
            OnVapour(events);
            foreach (CarrierTrack carrier in _carriers)
            {
                carrier.OnVapour(channel, events);
            }
        }
        else if (channel.Definition.Role == ChannelRole.Transport)
        {
            foreach (CarrierTrack carrier in _carriers)
            {
                carrier.OnTransport(channel, events);
            }
        }

        channel.Curve.DropBefore(keepFrom);
    }

    /// <summary>A cold load makes the vapour dip: without product sensors that shows a run.</summary>
    private void OnVapour(List<EngineEvent> events)
    {
        var now = new Timestamp(_vapour!.Track.Curve.LastTicks);
        bool rests = _gauge is null || _vacuum.Rests(_gauge.Curve);
        if (_vapour.Push(rests) is not { } start || !_cell.Rules.DetectRuns)
        {
            return;
        }

        if (InChamber(now) is { } named)
        {
            BeginIfWaiting(named, start, "vapourDip", now, events);
            return;
        }

        // Nobody says whose load it is: a carrier with sensors shows it on them, and needs no dip.
        bool othersDoing = _chamberPosition?.IsFresh(now) == true
            || Array.Exists(_carriers, c => c.Run is { IsMeasured: true } || c.IsBeingHeated(now) || c.ExpectsDip(start));
        if (othersDoing)
        {
            return;
        }

        if (!Array.Exists(_carriers, c => c.Waits(now)) && OldestOpen() is { EndIsSaid: false } oldest && start > oldest.Run!.StartTicks)
        {
            oldest.End(start, "nextStart", RunState.Ended, now, events);
        }

        if (Array.Find(_carriers, c => c.Waits(now)) is { } waiting)
        {
            BeginIfWaiting(waiting, start, "vapourDip", now, events);
        }
    }

    private void BeginIfWaiting(CarrierTrack carrier, long start, string reason, Timestamp now, List<EngineEvent> events, bool notSeen = false)
    {
        if (_cell.Rules.DetectRuns && carrier.Waits(now))
        {
            carrier.Begin(new RunStart(Math.Max(start, carrier.FloorTicks), reason, now, NotSeen: notSeen), ref _nextRunNumber, events);
        }
    }

    private CarrierTrack? OldestOpen()
    {
        CarrierTrack? oldest = null;
        foreach (CarrierTrack carrier in _carriers)
        {
            if (carrier.Run is { } run && (oldest is null || run.StartTicks < oldest.Run!.StartTicks))
            {
                oldest = carrier;
            }
        }

        return oldest;
    }
}
