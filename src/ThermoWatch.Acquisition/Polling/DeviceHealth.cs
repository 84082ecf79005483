using System.Collections.Frozen;
using ThermoWatch.Domain.Engine;
using static ThermoWatch.Acquisition.Polling.HealthEvent;
using static ThermoWatch.Domain.Engine.DeviceState;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>What happened to a device's connection.</summary>
internal enum HealthEvent
{
    /// <summary>It is about to be connected.</summary>
    Attempt,

    /// <summary>The connection could not be made.</summary>
    ConnectFailed,

    /// <summary>It answered.</summary>
    Answered,

    /// <summary>It answered, but somebody else talks on its line.</summary>
    Disturbed,

    /// <summary>It did not answer, or wrongly.</summary>
    Missed,

    /// <summary>It missed as often in a row as counts for being away.</summary>
    MissedTooOften,

    /// <summary>The connection broke.</summary>
    LinkLost,
}

/// <summary>State of one device's connection. Says each state once, and within an outage each reason once.</summary>
/// <param name="missesToDown">Misses in a row after which the device counts as away.</param>
internal sealed class DeviceHealth(int missesToDown)
{
    /// <summary>Every step that changes state. A pair not listed leaves it as it is.</summary>
    internal static readonly FrozenDictionary<(DeviceState, HealthEvent), DeviceState> Steps = new Dictionary<(DeviceState, HealthEvent), DeviceState>
    {
        [(Unknown, Attempt)] = Connecting,
        [(Unknown, ConnectFailed)] = Down,
        [(Unknown, Answered)] = Up,
        [(Unknown, Disturbed)] = Suspect,
        [(Unknown, Missed)] = Suspect,
        [(Unknown, MissedTooOften)] = Down,
        [(Unknown, LinkLost)] = Down,
        [(Connecting, ConnectFailed)] = Down,
        [(Connecting, Answered)] = Up,
        [(Connecting, Disturbed)] = Suspect,
        [(Connecting, Missed)] = Suspect,
        [(Connecting, MissedTooOften)] = Down,
        [(Connecting, LinkLost)] = Down,
        [(Up, ConnectFailed)] = Down,
        [(Up, Disturbed)] = Suspect,
        [(Up, Missed)] = Suspect,
        [(Up, MissedTooOften)] = Down,
        [(Up, LinkLost)] = Connecting,
        [(Suspect, ConnectFailed)] = Down,
        [(Suspect, Answered)] = Up,
        [(Suspect, MissedTooOften)] = Down,
        [(Suspect, LinkLost)] = Connecting,
        [(Down, Disturbed)] = Suspect,
        [(Down, Answered)] = Up, // nothing else: a device that comes and goes while we try must not fill the log
    }.ToFrozenDictionary();

    private readonly HashSet<string> _said = [];
    private int _misses;

    /// <summary>How it stands.</summary>
    public DeviceState State { get; private set; } = Unknown;

    /// <summary>Why, in plain words; empty when up.</summary>
    public string Reason { get; private set; } = "";

    /// <summary>Takes an event. True if there is something to tell: a new state, a new reason for being down, or that somebody else talks.</summary>
    public bool Apply(HealthEvent what, string reason = "")
    {
        _misses = what == Missed ? _misses + 1 : 0;
        if (_misses >= missesToDown) what = MissedTooOften;
        if (what == MissedTooOften) _misses = missesToDown; // stays there until something else happens
        DeviceState next = Steps.GetValueOrDefault((State, what), State);
        bool changed = next != State;
        bool newReason = (next == Down ? what != Attempt : what == Disturbed) && reason.Length > 0 && !_said.Contains(reason);
        if (!changed && !newReason) return false;
        if (next == Up) _said.Clear();
        else if (next == Down || what == Disturbed) _said.Add(reason);
        State = next;
        Reason = next == Up ? "" : reason;
        return true;
    }
}
