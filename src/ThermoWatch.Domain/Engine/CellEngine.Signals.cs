using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <content>What the machine says of itself: signals, positions and motion.</content>
public sealed partial class CellEngine
{
    /// <summary>Hears all signals of one scan. What ends a run comes first: what the same scan names belongs to the next one.</summary>
    private void OnSignals(int device, List<EngineEvent> events)
    {
        SignalWatch[] signals = _signalsOfDevice[device];
        foreach (SignalWatch signal in signals)
        {
            if (signal.Hear(ref _readings[signal.Track.Index]) is { } step && EndsRun(signal.Track.Definition, step))
            {
                OnSignal(signal, step, events);
            }
        }

        foreach (SignalWatch signal in signals)
        {
            if (signal.Step is { } step && !EndsRun(signal.Track.Definition, step))
            {
                OnSignal(signal, step, events);
            }

            Reading reading = _readings[signal.Track.Index];
            if (signal.Track.Definition.Role == ChannelRole.Motion && reading.Quality.Level == Quality.Good)
            {
                _alarms.OnMotion(signal.Track.Index, reading, events);
            }
        }
    }

    private static bool EndsRun(ChannelDefinition channel, SignalStep step) => channel.Role == ChannelRole.Signal
        && (channel.Signal == SignalMeaning.Unload ? step.SeenToTurnOn : channel.Signal == SignalMeaning.Running && step.TurnsOff);

    private void OnSignal(SignalWatch signal, SignalStep step, List<EngineEvent> events)
    {
        ChannelDefinition channel = signal.Track.Definition;
        if (channel.Role == ChannelRole.Position)
        {
            OnPosition(signal, step, events);
        }
        else if (channel.Role == ChannelRole.Motion)
        {
            OnMotion(channel, step, events);
        }
        else if (channel.Signal is SignalMeaning.Start or SignalMeaning.Unload or SignalMeaning.Running)
        {
            OnRunSignal(channel, step, events);
        }
        else if (signal == _valve)
        {
            OnValve(step, events);
        }
        else
        {
            foreach (CarrierTrack carrier in _carriers)
            {
                carrier.OnSignal(signal);
            }
        }
    }

    private void OnRunSignal(ChannelDefinition channel, SignalStep step, List<EngineEvent> events)
    {
        if (!_cell.Rules.DetectRuns)
        {
            return;
        }

        var time = new Timestamp(step.Ticks);
        // A pulse that stands when it is first seen says nothing of when it came; a level says that a run goes on.
        bool begins = channel.Signal == SignalMeaning.Start ? step.SeenToTurnOn : channel.Signal == SignalMeaning.Running && step.TurnsOn;
        if (EndsRun(channel, step) && OwnerOfEnd(channel) is { Run: not null } done)
        {
            if (step.Unsure)
            {
                done.Run.Note("endNotSeen");
            }

            EndHere(done, time, "signal", events);
        }
        else if (begins && OwnerOfStart(channel, time) is { } carrier && !carrier.TakesAsItsOwn())
        {
            if (carrier.Run is not null)
            {
                EndHere(carrier, time, "nextStart", events);
            }

            if (carrier.Run is null)
            {
                carrier.Begin(
                    new RunStart(Math.Max(step.Ticks, carrier.FloorTicks), RunStart.Signal, time, NotSeen: step.Unsure), ref _nextRunNumber, events);
            }
        }
    }

    private void OnPosition(SignalWatch position, SignalStep step, List<EngineEvent> events)
    {
        var time = new Timestamp(step.Ticks);
        bool own = position.Track.Definition.Carrier is not null;
        CarrierTrack? carrier = own ? CarrierOf(position.Track.Definition.Carrier!) : null;
        CarrierTrack? left = own ? (step.TurnsOff ? carrier : null) : CarrierByNumber(step.Before);
        CarrierTrack? came = own ? (step.TurnsOn ? carrier : null) : CarrierByNumber(step.After);
        if (left is { Run.IsMeasured: false } && left != came && _cell.Rules.DetectRuns)
        {
            EndHere(left, time, "position", events);
        }

        if (came is not null && came != left)
        {
            BeginIfWaiting(came, step.Ticks, "position", time, events, step.Unsure);
        }
    }

    private void OnMotion(ChannelDefinition channel, SignalStep step, List<EngineEvent> events)
    {
        bool moves = _cell.Rules.MotionAbove is { } least && Math.Abs(step.After) > least && !(Math.Abs(step.Before) > least);
        if (moves && (channel.Carrier ?? (_carriers.Length == 1 ? _carriers[0].Name : null)) is { } name && CarrierOf(name) is { } carrier)
        {
            BeginIfWaiting(carrier, step.Ticks, "motion", new Timestamp(step.Ticks), events);
        }
    }

    /// <summary>The carrier that a beginning run is for: the signal's own, the one in the chamber, one without a run, the longest at work.</summary>
    private CarrierTrack? OwnerOfStart(ChannelDefinition channel, Timestamp now) => channel.Carrier is { } name
        ? CarrierOf(name)
        : InChamber(now) is { Run: null } named ? named : Array.Find(_carriers, c => c.Run is null) ?? OldestOpen();

    /// <summary>The carrier whose run ends: the signal's own, or the one that has been at work for longest.</summary>
    private CarrierTrack? OwnerOfEnd(ChannelDefinition channel) => channel.Carrier is { } name ? CarrierOf(name) : OldestOpen();
}
