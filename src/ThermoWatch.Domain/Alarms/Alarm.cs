using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>One alarm: one condition in one place, for good. Follows the condition through its delays, and the people through its states.</summary>
internal sealed partial class Alarm(string condition, string place, string? channelId, AlarmBehaviour behaviour)
{
    private AlarmPriority? _foundPriority;
    private string? _foundChannel;
    private string? _figure;
    private long? _beginsSince;
    private long? _wanesSince;
    private bool _latched;
    private bool _seen;
    private bool _oneShot;
    private Timestamp _acknowledged;

    public string Id { get; } = $"{condition}/{place}";

    public AlarmState State { get; private set; }

    /// <summary>Whether the condition holds, delays and deadband counted in; followed in every state.</summary>
    public bool Holds { get; private set; }

    /// <summary>Whether somebody has seen it since it was raised.</summary>
    public bool Seen => _seen;

    /// <summary>Whether a delay is running, so that every value counts.</summary>
    public bool IsWaiting => _beginsSince is not null || _wanesSince is not null;

    /// <summary>When the condition last became active.</summary>
    public Timestamp Since { get; private set; }

    /// <summary>Value that raised it, later the worst since; null if it has none.</summary>
    public double? Worst { get; private set; }

    public double? Limit { get; private set; }

    /// <summary>Number of the run in which it was raised; null if in none.</summary>
    public long? Run { get; private set; }

    /// <summary>Number of the last run that its condition has judged to the end.</summary>
    public long JudgedRun { get; set; }

    private Timestamp? Deadline { get; set; }

    private string By { get; set; } = "";

    private string Comment { get; set; } = "";

    private Timestamp? Until { get; set; }

    /// <summary>Tells how the condition stands, deadband counted in, delays not.</summary>
    public void Follow(bool holds, Timestamp time, in Finding found, List<EngineEvent> events)
    {
        if (holds)
        {
            _wanesSince = null;
            if (Holds)
            {
                Worsen(found);
                return;
            }

            _beginsSince ??= time.UtcTicks;
            if (time.UtcTicks - _beginsSince >= behaviour.OnDelayTicks)
            {
                Raise(time, found, events);
            }

            return;
        }

        _beginsSince = null;
        if (!Holds)
        {
            return;
        }

        _wanesSince ??= time.UtcTicks;
        if (time.UtcTicks - _wanesSince >= behaviour.OffDelayTicks)
        {
            Clear(time, found, events);
        }
    }

    /// <summary>Raises it without a delay: there will be no second look.</summary>
    public void RaiseNow(Timestamp time, in Finding found, List<EngineEvent> events)
    {
        if (!Holds)
        {
            Raise(time, found, events);
        }
    }

    /// <summary>What it is judged by was unknown for a while: delays begin anew, the state stays.</summary>
    public void Break() => (_beginsSince, _wanesSince) = (null, null);

    /// <summary>Lets time pass: shelves end, and what was acknowledged long ago is told again.</summary>
    public void OnTime(Timestamp now, List<EngineEvent> events)
    {
        if (State == AlarmState.Shelved && now >= Until)
        {
            EndShelf(now, "", events);
        }
        else if (State == AlarmState.Acknowledged && behaviour.ReAlarmTicks is { } ticks && now.UtcTicks - _acknowledged.UtcTicks >= ticks)
        {
            _seen = false;
            Step(AlarmSignal.ReAlarm, now, events);
        }
    }

    /// <summary>Whether it means nothing as the cell stands.</summary>
    public void Suppress(bool suppressed, Timestamp time, List<EngineEvent> events)
    {
        if (suppressed)
        {
            Step(AlarmSignal.Suppress, time, events);
        }
        else if (State == AlarmState.SuppressedByDesign)
        {
            Reveal(Holds ? AlarmSignal.ReleaseActive : AlarmSignal.ReleaseNormal, time, "", "", events);
        }
    }

    /// <summary>Somebody did something with it; what its state does not allow changes nothing.</summary>
    public void Obey(AlarmInput input, TimeSpan longestShelving, List<EngineEvent> events)
    {
        switch (input)
        {
            case AcknowledgeInput seen:
                if (Step(AlarmSignal.Acknowledge, seen.Time, events, seen.By, seen.Comment))
                {
                    (_seen, _acknowledged) = (true, seen.Time);
                }

                break;
            case ShelveInput shelve when shelve.Until > shelve.Time && shelve.Reason.Length > 0 && shelve.By.Length > 0:
                Shelve(shelve, longestShelving, events);
                break;
            case UnshelveInput unshelve when State == AlarmState.Shelved:
                EndShelf(unshelve.Time, unshelve.By, events);
                break;
            case OutOfServiceInput { Out: true } remove when remove.Reason.Length > 0 && remove.By.Length > 0:
                Step(AlarmSignal.RemoveFromService, remove.Time, events, remove.By, remove.Reason);
                break;
            case OutOfServiceInput { Out: false } back when State == AlarmState.OutOfService:
                Reveal(Holds ? AlarmSignal.ReturnActive : AlarmSignal.ReturnNormal, back.Time, back.By, back.Reason, events);
                break;
            case ResetInput reset:
                Step(AlarmSignal.Reset, reset.Time, events, reset.By, reset.Comment);
                break;
            default:
                break;
        }
    }

    public AlarmPicture ToPicture() => new(Id, condition, _foundChannel ?? channelId, State, Since, Worst, Limit)
    {
        Place = place,
        Priority = _foundPriority ?? behaviour.Priority,
        Holds = Holds,
        Run = Run,
        By = By,
        Comment = Comment,
        Until = Until,
        Deadline = Deadline,
        Figure = _figure,
    };

    private void Raise(Timestamp time, in Finding found, List<EngineEvent> events)
    {
        (Holds, _beginsSince, _latched, _seen) = (true, null, false, false);
        (Since, Worst, Limit, Run, Deadline) = (time, found.Value, found.Limit, found.Run, found.Deadline);
        (_foundChannel, _foundPriority, _figure) = (found.ChannelId, found.Priority, found.Figure);
        if (found.Follows)
        {
            Step(AlarmSignal.Suppress, time, events);
        }

        if (AlarmSteps.IsTold(AlarmSteps.Next(State, AlarmSignal.ConditionActive)))
        {
            (By, Comment) = ("", "");
        }

        Record(AlarmSignal.ConditionActive, time, events, found.Value, found.Limit, found.Run);
    }

    private void Clear(Timestamp time, in Finding found, List<EngineEvent> events)
    {
        (Holds, _wanesSince, Deadline) = (false, null, null);
        _latched = behaviour.Latching;
        AlarmSignal signal = _latched ? AlarmSignal.ConditionClearsLatching : AlarmSignal.ConditionClears;
        if (State == AlarmState.Shelved && _oneShot)
        {
            EndShelf(time, "", events, once: true);
        }
        else
        {
            Record(signal, time, events, found.Value, found.Limit ?? Limit, found.Run);
        }
    }

    private void Worsen(in Finding found)
    {
        if (found.Value is { } value)
        {
            bool falls = Limit is { } limit && Worst is { } first && first < limit;
            Worst = falls ? Math.Min(Worst ?? value, value) : Math.Max(Worst ?? value, value);
        }

        Deadline = found.Deadline ?? Deadline;
    }

    private void Shelve(ShelveInput input, TimeSpan longest, List<EngineEvent> events)
    {
        bool latched = State is AlarmState.LatchedUnacknowledged or AlarmState.LatchedAcknowledged;
        Timestamp latest = input.Time + longest;
        Timestamp? before = Until;
        Until = input.Until < latest ? input.Until : latest;
        if (Step(AlarmSignal.Shelve, input.Time, events, input.By, input.Reason))
        {
            (_latched, _oneShot) = (latched, input.OneShot);
        }
        else
        {
            Until = before;
        }
    }

    private void EndShelf(Timestamp time, string by, List<EngineEvent> events, bool once = false) => Reveal(
        Holds ? AlarmSignal.UnshelveActive
        : _latched ? _seen ? AlarmSignal.UnshelveLatchedSeen : AlarmSignal.UnshelveLatched
        : once ? AlarmSignal.OneShotClears
        : AlarmSignal.UnshelveNormal,
        time, by, "", events);

    /// <summary>Comes back among the alarms that are told; what nobody could see while it was hidden counts as not seen.</summary>
    private void Reveal(AlarmSignal signal, Timestamp time, string by, string comment, List<EngineEvent> events)
    {
        Until = null;
        _oneShot = false;
        Step(signal, time, events, by, comment);
        _seen &= State == AlarmState.LatchedAcknowledged;
    }

    private bool Step(AlarmSignal signal, Timestamp time, List<EngineEvent> events, string by = "", string comment = "")
    {
        if (AlarmSteps.Next(State, signal) == State)
        {
            return false;
        }

        if (by.Length > 0 || State == AlarmState.Shelved)
        {
            (By, Comment) = (by, comment); // a shelf that ended by itself: nobody did it
        }

        Record(signal, time, events, Worst, Limit, Run);
        return true;
    }

    /// <summary>Takes the step, and writes down what happened even where the state stays: what is hidden is still recorded.</summary>
    private void Record(AlarmSignal signal, Timestamp time, List<EngineEvent> events, double? value, double? limit, long? run)
    {
        State = AlarmSteps.Next(State, signal);
        events.Add(new AlarmEvent(time, Id, condition, _foundChannel ?? channelId, State, Predicted: false, value, limit, run)
        {
            Signal = signal,
            Priority = _foundPriority ?? behaviour.Priority,
            By = By,
            Comment = Comment,
            Until = State == AlarmState.Shelved ? Until : null,
            Figure = _figure,
            Deadline = Deadline,
        });
    }
}
