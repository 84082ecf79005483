using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>Where a condition can hold.</summary>
/// <param name="Name">Unique for the condition: a channel, a device, a carrier, or one of them and something of it.</param>
internal sealed record AlarmPlace(string Name)
{
    /// <summary>Index of the channel; -1 without one.</summary>
    public int Channel { get; init; } = -1;

    /// <summary>Index of the device; -1 without one.</summary>
    public int Device { get; init; } = -1;

    /// <summary>Index of the carrier; -1 without one.</summary>
    public int Carrier { get; init; } = -1;
}

/// <summary>How a condition stands.</summary>
internal enum Standing
{
    /// <summary>It does not hold.</summary>
    Clear,

    /// <summary>It holds.</summary>
    Holds,

    /// <summary>Nobody can tell: the alarm stays as it is.</summary>
    Unknown,
}

/// <summary>Something that can be wrong in a cell: where, how it is found out, and how it behaves unless somebody says otherwise.</summary>
/// <param name="name">As in the alarm list.</param>
/// <param name="defaults">How it behaves.</param>
internal abstract class Condition(string name, AlarmSettings defaults)
{
    public string Name => name;

    /// <summary>Unit of its values where neither a figure nor a channel says it; empty: they have none.</summary>
    public virtual string Unit => "";

    /// <summary>How it behaves in a cell.</summary>
    public AlarmBehaviour Behaviour(AlarmRules rules)
    {
        AlarmSettings own = rules.Conditions.GetValueOrDefault(name) ?? new AlarmSettings();
        return new AlarmBehaviour(
            own.Priority ?? defaults.Priority ?? AlarmPriority.Medium,
            (own.OnDelay ?? defaults.OnDelay ?? TimeSpan.Zero).Ticks,
            (own.OffDelay ?? defaults.OffDelay ?? TimeSpan.Zero).Ticks,
            own.Latching ?? defaults.Latching ?? false,
            (own.ReAlarm ?? defaults.ReAlarm)?.Ticks);
    }

    /// <summary>Deadband in the channel's unit, of a pressure in decades.</summary>
    protected double Deadband(AlarmRules rules) => rules.Conditions.GetValueOrDefault(name)?.Deadband ?? defaults.Deadband ?? 0;

    /// <summary>Where it can hold in a cell; nowhere if the cell has nothing that could tell.</summary>
    public abstract IEnumerable<AlarmPlace> Places(CellFacts facts);

    /// <summary>Whether it can mean nothing, so that <see cref="IsSuppressed"/> must be asked.</summary>
    public virtual bool MaySuppress => false;

    /// <summary>Whether it means nothing there as the cell stands.</summary>
    public virtual bool IsSuppressed(CellFacts facts, AlarmPlace place) => false;

    /// <summary>Looks how it stands there: once a second, and whenever something happened.</summary>
    public abstract void Look(CellFacts facts, AlarmPlace place, Alarm alarm, LevelTable levels, List<EngineEvent> events);

    /// <summary>Writes what it must remember.</summary>
    public virtual void Save(BinaryWriter writer)
    {
    }

    /// <summary>Reads what <see cref="Save"/> wrote.</summary>
    public virtual void Load(BinaryReader reader)
    {
    }

    protected static IEnumerable<AlarmPlace> Channels(CellFacts facts, params ChannelRole[] roles) => facts.Channels
        .Where(c => roles.Contains(c.Definition.Role))
        .Select(c => new AlarmPlace(c.Definition.Id) { Channel = c.Index, Carrier = facts.CarrierOf(c.Index) });

    protected static IEnumerable<AlarmPlace> Carriers(CellFacts facts) => facts.Carriers.Select((c, i) => new AlarmPlace(c.Name) { Carrier = i });
}

/// <summary>A condition that single values of one channel decide, reading by reading.</summary>
internal abstract class LevelCondition(string name, AlarmSettings defaults) : Condition(name, defaults)
{
    public sealed override void Look(CellFacts facts, AlarmPlace place, Alarm alarm, LevelTable levels, List<EngineEvent> events) =>
        levels.Set(alarm, LevelOf(facts, place, levels.Of(alarm)), facts.Now, events);

    /// <summary>The limit that holds now; null if none does.</summary>
    /// <param name="facts">The cell.</param>
    /// <param name="place">Where.</param>
    /// <param name="before">The limit in force so far.</param>
    protected abstract Level? LevelOf(CellFacts facts, AlarmPlace place, Level? before);
}

/// <summary>A condition that stands or does not, as the cell stands.</summary>
internal abstract class StateCondition(string name, AlarmSettings defaults) : Condition(name, defaults)
{
    public sealed override void Look(CellFacts facts, AlarmPlace place, Alarm alarm, LevelTable levels, List<EngineEvent> events)
    {
        Standing standing = Ask(facts, place, out Finding found);
        if (standing == Standing.Unknown)
        {
            alarm.Break();
        }
        else
        {
            alarm.Follow(standing == Standing.Holds, facts.Now, found, events);
        }
    }

    /// <summary>How it stands now.</summary>
    protected abstract Standing Ask(CellFacts facts, AlarmPlace place, out Finding found);
}
