using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>How an alarm behaves, settings and defaults put together.</summary>
internal sealed record AlarmBehaviour(AlarmPriority Priority, long OnDelayTicks, long OffDelayTicks, bool Latching, long? ReAlarmTicks);

/// <summary>What a look at a condition found out, beside that it holds.</summary>
/// <param name="Value">The value; null if it has none.</param>
/// <param name="Limit">The limit; null if there is none.</param>
/// <param name="ChannelId">Channel that decides, where the alarm itself has none.</param>
/// <param name="Run">Number of the run concerned.</param>
/// <param name="Deadline">Until when something can still be done; null if that is not known.</param>
/// <param name="Priority">Another priority than the alarm's own.</param>
internal readonly record struct Finding(
    double? Value = null, double? Limit = null, string? ChannelId = null, long? Run = null, Timestamp? Deadline = null, AlarmPriority? Priority = null)
{
    /// <summary>Figure whose limit is concerned; null if none is.</summary>
    public string? Figure { get; init; }

    /// <summary>Whether an alarm that is told already asks for the same: then this one is recorded and not told.</summary>
    public bool Follows { get; init; }
}
