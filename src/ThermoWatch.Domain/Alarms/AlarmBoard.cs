using System.Collections.Immutable;
using ThermoWatch.Domain.Alarms.Conditions;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>All alarms of a cell: knows how their conditions stand, what people did with them, and says what changes.</summary>
/// <remarks>
/// Values are held against limits reading by reading. Everything else is looked at once a second, and whenever something happened:
/// a run, a phase, a spec, a device, a person.
/// </remarks>
internal sealed class AlarmBoard
{
    private readonly CellFacts _facts;
    private readonly Condition[] _conditions;
    private readonly Watch[] _watches;
    private readonly Dictionary<string, Alarm> _byId;
    private readonly Dictionary<Alarm, Alarm[]> _groups;
    private readonly LevelTable _levels;
    private long _nextLook = long.MinValue;

    /// <param name="cell">The cell.</param>
    /// <param name="readings">Newest readings of its channels, kept up to date by the engine.</param>
    /// <param name="channels">Its channels.</param>
    /// <param name="devices">Its devices.</param>
    /// <param name="carriers">Its carriers.</param>
    /// <param name="gauge">The chamber's gauge; null without one.</param>
    /// <param name="vacuum">The chamber's evacuations.</param>
    /// <param name="vapourPressure">Pressure at which the vapour boils round a carrier, mbar; NaN where that says nothing of its boards.</param>
    public AlarmBoard(
        CellDefinition cell, Reading[] readings, ChannelTrack[] channels, DeviceTrack[] devices, CarrierTrack[] carriers,
        ChannelTrack? gauge, VacuumTracker vacuum, Func<CarrierTrack, double> vapourPressure)
    {
        _facts = new CellFacts(cell, readings, channels, devices, carriers, gauge, vacuum, vapourPressure) { WasRaised = WasRaised, HasLeader = HasLeader };
        _conditions = [.. ConditionList.Make().Where(c => cell.Alarms.Conditions.GetValueOrDefault(c.Name)?.Enabled ?? true)];
        _watches =
        [
            .. _conditions.SelectMany(condition => condition.Places(_facts).Select(place => new Watch(
                condition, place, new Alarm(
                    condition.Name, place.Name, place.Channel < 0 ? null : channels[place.Channel].Definition.Id, condition.Behaviour(cell.Alarms))))),
        ];
        _groups = _watches.Where(w => w.Condition is RunCondition).GroupBy(w => (w.Condition.Name, w.Place.Carrier))
            .SelectMany(g => g.Select(w => (w.Alarm, Group: g.Select(x => x.Alarm).ToArray()))).ToDictionary(x => x.Alarm, x => x.Group);
        _byId = _watches.ToDictionary(w => w.Alarm.Id, w => w.Alarm);
        _levels = new LevelTable(
            channels.Length,
            _watches.Where(w => w.Condition is LevelCondition).Select(w => (w.Place.Channel, channels[w.Place.Channel], w.Alarm)));
    }

    /// <summary>What conditions see; facts that nothing in the cell tells yet are set there.</summary>
    public CellFacts Facts => _facts;

    /// <summary>Ids of all alarms.</summary>
    public IReadOnlyCollection<string> Ids => _byId.Keys;

    /// <summary>State of an alarm; normal too where there is none of that id.</summary>
    public AlarmState StateOf(string id) => _byId.GetValueOrDefault(id)?.State ?? AlarmState.Normal;

    /// <summary>A channel's curve has grown.</summary>
    public void OnGrown(ChannelTrack channel, List<EngineEvent> events) =>
        _levels.Check(channel.Index, channel.Curve.LastTicks, channel.Curve.LastValue, events);

    /// <summary>A motion channel gave a reading; which way something moves makes no difference.</summary>
    public void OnMotion(int channel, in Reading reading, List<EngineEvent> events) =>
        _levels.Check(channel, reading.Time.UtcTicks, Math.Abs(reading.Value), events);

    /// <summary>Somebody did something with an alarm, or reports how a condition stands.</summary>
    public void OnInput(EngineInput input, List<EngineEvent> events)
    {
        if (input is AlarmInput order && _byId.TryGetValue(order.AlarmId, out Alarm? alarm))
        {
            alarm.Obey(order, _facts.Rules.LongestShelving, events);
        }
        else if (input is ReportInput outside && OffReference.ChannelOf(outside) is { } channel)
        {
            _conditions.OfType<OffReference>().FirstOrDefault()?.Take(channel, outside);
        }
        else if (input is ReportInput report)
        {
            _conditions.OfType<Reported>().FirstOrDefault(c => c.Name == report.Condition)?.Take(report);
        }
        else if (input is ClockStepInput step)
        {
            _conditions.OfType<ClockStepped>().FirstOrDefault()?.Take(step);
        }
    }

    /// <summary>Lets time pass.</summary>
    /// <param name="now">Time of the newest input.</param>
    /// <param name="happened">Whether something happened beside readings and time.</param>
    /// <param name="events">Where events are added.</param>
    public void OnTime(Timestamp now, bool happened, List<EngineEvent> events)
    {
        if (!happened && now.UtcTicks < _nextLook)
        {
            return;
        }

        if (now.UtcTicks >= _nextLook)
        {
            _nextLook = now.UtcTicks + Timestamp.TicksPerSecond;
        }

        _facts.Now = now;
        _facts.LookNumber++;
        foreach (CarrierFacts carrier in _facts.Carriers)
        {
            if (carrier.Last is { } last) // the next run may have begun in the moment in which it ended
            {
                carrier.Usual.Learn(last);
            }
        }

        foreach (Watch watch in _watches)
        {
            Alarm alarm = watch.Alarm;
            watch.Condition.Look(_facts, watch.Place, alarm, _levels, events);
            if (watch.MaySuppress || alarm.State == AlarmState.SuppressedByDesign)
            {
                alarm.Suppress(watch.Condition.IsSuppressed(_facts, watch.Place) || (!watch.MaySuppress && HasLeader(alarm)), now, events);
            }

            if (alarm.State is AlarmState.Shelved or AlarmState.Acknowledged)
            {
                alarm.OnTime(now, events);
            }
        }
    }

    /// <summary>Alarms that are told, latest first.</summary>
    public ImmutableArray<AlarmPicture> Told() => Pictures(AlarmSteps.IsTold);

    /// <summary>Alarms that are put aside, suppressed or out of service, latest first.</summary>
    public ImmutableArray<AlarmPicture> Hidden() =>
        Pictures(s => s is AlarmState.Shelved or AlarmState.SuppressedByDesign or AlarmState.OutOfService);

    public void Save(BinaryWriter writer)
    {
        writer.Write(_nextLook);
        foreach (CarrierFacts carrier in _facts.Carriers)
        {
            carrier.Usual.Save(writer);
            writer.Write(carrier.SoakJudged);
        }

        Array.ForEach(_conditions, c => SavedRecords.Part(writer, c.Name, c.Save));
        writer.Write("");
        writer.Write(_watches.Length);
        foreach (Watch watch in _watches)
        {
            writer.Write(watch.Alarm.Id);
            watch.Alarm.Save(writer);
        }

        _levels.Save(writer);
    }

    /// <summary>Reads what <see cref="Save"/> wrote; alarms and conditions that are gone since are passed over.</summary>
    public void Load(BinaryReader reader)
    {
        _nextLook = reader.ReadInt64();
        foreach (CarrierFacts carrier in _facts.Carriers)
        {
            carrier.Usual.Load(reader);
            carrier.SoakJudged = reader.ReadInt64();
        }

        for (string name = reader.ReadString(); name.Length > 0; name = reader.ReadString())
        {
            using BinaryReader part = SavedRecords.Part(reader);
            Array.Find(_conditions, c => c.Name == name)?.Load(part); // those that share a name remember nothing
        }

        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            string id = reader.ReadString();
            (_byId.GetValueOrDefault(id) ?? new Alarm("gone", id, null, new AlarmBehaviour(default, 0, 0, false, null))).Load(reader);
        }

        _levels.Load(reader);
    }

    private bool WasRaised(string condition, string? channelId, long run)
    {
        foreach (Watch watch in _watches)
        {
            if (watch.Condition.Name == condition && watch.Alarm.Run == run
                && (channelId is null || watch.Place.Channel < 0 || _facts.Channels[watch.Place.Channel].Definition.Id == channelId))
            {
                return true;
            }
        }

        return false;
    }

    private bool HasLeader(Alarm alarm)
    {
        foreach (Alarm other in _groups[alarm])
        {
            if (other != alarm && other.Holds && AlarmSteps.IsTold(other.State))
            {
                return true;
            }
        }

        return false;
    }

    private ImmutableArray<AlarmPicture> Pictures(Func<AlarmState, bool> which) =>
    [
        .. _watches.Where(w => which(w.Alarm.State)).Select(w => w.Alarm.ToPicture())
            .OrderByDescending(a => a.Since).ThenBy(a => a.Id, StringComparer.Ordinal),
    ];

    private sealed record Watch(Condition Condition, AlarmPlace Place, Alarm Alarm)
    {
        public bool MaySuppress { get; } = Condition.MaySuppress;
    }
}
