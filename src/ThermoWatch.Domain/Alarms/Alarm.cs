using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>One alarm: one condition in one place, for good.</summary>
internal sealed class Alarm(string condition, string place, string? channelId)
{
    private long? _activeSince;

    public string Id { get; } = $"{condition}/{place}";

    public AlarmState State { get; private set; }

    /// <summary>When it was last raised.</summary>
    public Timestamp Since { get; private set; }

    /// <summary>Value that raised it, later the worst since; null if it has none.</summary>
    public double? Worst { get; private set; }

    public double? Limit { get; private set; }

    /// <summary>Whether the condition holds, on-delay and deadband counted in.</summary>
    public bool IsActive => State is AlarmState.Unacknowledged or AlarmState.Acknowledged;

    /// <summary>Whether it neither holds nor is about to: a value inside its limit changes nothing.</summary>
    public bool IsQuiet => !IsActive && _activeSince is null;

    /// <summary>Watches a value against an upper limit.</summary>
    /// <param name="time">Time of the value.</param>
    /// <param name="value">The value.</param>
    /// <param name="limit">The limit.</param>
    /// <param name="deadband">The value must come this far below the limit to clear the condition; it never delays the onset.</param>
    /// <param name="onDelayTicks">The condition must hold this long without a break.</param>
    /// <param name="run">Number of the open run; null if none.</param>
    /// <param name="broken">Whether the curve was unknown since the last value: then it may have been broken.</param>
    public AlarmEvent? WatchUpper(
        Timestamp time, double value, double limit, double deadband, long onDelayTicks, bool broken, long? run)
    {
        if (broken)
        {
            _activeSince = null;
        }

        if (IsActive)
        {
            Worst = Math.Max(Worst ?? value, value);
            return value < limit - deadband ? Move(AlarmSignal.ConditionClears, time, value, limit, run) : null;
        }

        if (value <= limit)
        {
            _activeSince = null;
            return null;
        }

        _activeSince ??= time.UtcTicks;
        return time.UtcTicks - _activeSince >= onDelayTicks ? Move(AlarmSignal.ConditionActive, time, value, limit, run) : null;
    }

    /// <summary>Sets the condition outright.</summary>
    public AlarmEvent? Set(bool active, Timestamp time, double? value = null, double? limit = null, long? run = null) =>
        active == IsActive ? null : Move(active ? AlarmSignal.ConditionActive : AlarmSignal.ConditionClears, time, value, limit, run);

    /// <summary>Somebody has seen it.</summary>
    public AlarmEvent? Acknowledge(Timestamp time) => Move(AlarmSignal.Acknowledge, time, Worst, Limit, null);

    public AlarmPicture ToPicture() => new(Id, condition, channelId, State, Since, Worst, Limit);

    public void Save(BinaryWriter writer)
    {
        writer.Write((int)State);
        writer.Write(Since.UtcTicks);
        writer.Write(_activeSince ?? long.MinValue);
        writer.Write(Worst ?? double.NaN);
        writer.Write(Limit ?? double.NaN);
    }

    public void Load(BinaryReader reader)
    {
        State = (AlarmState)reader.ReadInt32();
        Since = new Timestamp(reader.ReadInt64());
        long active = reader.ReadInt64();
        _activeSince = active == long.MinValue ? null : active;
        Worst = NullIfNaN(reader.ReadDouble());
        Limit = NullIfNaN(reader.ReadDouble());
    }

    private static double? NullIfNaN(double value) => double.IsNaN(value) ? null : value;

    private AlarmEvent? Move(AlarmSignal signal, Timestamp time, double? value, double? limit, long? run)
    {
        AlarmState next = AlarmSteps.Next(State, signal);
        if (next == State)
        {
            return null;
        }

        State = next;
        if (signal == AlarmSignal.ConditionActive)
        {
            (Since, Worst, Limit) = (time, value, limit);
        }

        if (signal != AlarmSignal.Acknowledge)
        {
            _activeSince = null;
        }

        return new AlarmEvent(time, Id, condition, channelId, State, Predicted: false, value, limit, run);
    }
}
