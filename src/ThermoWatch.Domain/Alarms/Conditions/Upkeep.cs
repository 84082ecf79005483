using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms.Conditions;

/// <summary>A device says nothing.</summary>
internal sealed class DeviceSilent() : StateCondition("deviceSilent", new() { Priority = AlarmPriority.High })
{
    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => facts.Cell.Devices.Select((d, i) => new AlarmPlace(d.Id) { Device = i });

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        found = default;
        return facts.IsSilent(place.Device) ? Standing.Holds : Standing.Clear;
    }
}

/// <summary>A reference junction cannot be believed: every thermocouple that leans on it cannot be either.</summary>
internal sealed class ColdJunction() : StateCondition("coldJunction", new() { OnDelay = TimeSpan.FromSeconds(1), OffDelay = TimeSpan.FromSeconds(1) })
{
    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => Channels(facts, ChannelRole.ColdJunction)
        .Select(p => p with { Device = facts.DeviceOf(p.Channel) });

    public override bool MaySuppress => true;

    /// <summary>While its device is silent, nobody knows it, and the device's own alarm says so.</summary>
    public override bool IsSuppressed(CellFacts facts, AlarmPlace place) => facts.IsSilent(place.Device);

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        Reading reading = facts.ReadingOf(place.Channel);
        (double lowest, double highest) = LimitsOf(facts, facts.Channels[place.Channel].Definition.Id);
        found = reading.Quality.HasValue ? new Finding(reading.Value, reading.Value < lowest ? lowest : highest) : default;
        return reading.Quality.Reason is QualityReason.NoReading or QualityReason.NoCommunication or QualityReason.Garbled or QualityReason.Stale
            ? Standing.Unknown
            : !reading.Quality.HasValue || reading.Value < lowest || reading.Value > highest ? Standing.Holds : Standing.Clear;
    }

    /// <summary>The strictest limits of the thermocouples that lean on it.</summary>
    private static (double Lowest, double Highest) LimitsOf(CellFacts facts, string id)
    {
        (double lowest, double highest) = (ColdJunctionLimits.Default.LowestCelsius, ColdJunctionLimits.Default.HighestCelsius);
        foreach (ChannelTrack track in facts.Channels)
        {
            if (track.Definition.Conversion is { ColdJunction: ColdJunctionSource.FromChannel(var source), ColdJunctionLimits: var limits } && source == id)
            {
                (lowest, highest) = (Math.Max(lowest, limits.LowestCelsius), Math.Min(highest, limits.HighestCelsius));
            }
        }

        return (lowest, highest);
    }
}

/// <summary>A channel's calibration is past the day on which the next one was due.</summary>
internal sealed class CalibrationDue() : StateCondition("calibrationDue", new() { Priority = AlarmPriority.Low })
{
    public override string Unit => "d";

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => facts.Channels
        .Where(c => c.Definition.Conversion.Calibrations.Calibrations.Any(k => k.Due is not null))
        .Select(c => new AlarmPlace(c.Definition.Id) { Channel = c.Index });

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        Calibration? calibration = facts.Channels[place.Channel].Definition.Conversion.Calibrations.At(facts.Now);
        // Days that have begun, so that the alarm says another number once a day and not each second.
        found = calibration?.Due is { } due ? new Finding(Math.Ceiling(facts.Now.SecondsSince(due) / TimeSpan.SecondsPerDay)) : default;
        return calibration?.IsOverdue(facts.Now) == true ? Standing.Holds : Standing.Clear;
    }
}

/// <summary>Something that the engine cannot see itself and is told by a report: the recording, a feed, a verification that is due.</summary>
internal sealed class Reported(string name, AlarmPriority priority, string unit = "") : StateCondition(name, new() { Priority = priority })
{
    private bool _holds;
    private Finding _found;

    public override string Unit => unit;

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => [new AlarmPlace("cell")];

    /// <summary>Takes a report.</summary>
    public void Take(ReportInput report) => (_holds, _found) = (report.Holds, new Finding(report.Value, report.Limit));

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        found = _found;
        return _holds ? Standing.Holds : Standing.Clear;
    }

    public override void Save(BinaryWriter writer)
    {
        writer.Write(_holds);
        writer.Write(_found.Value ?? double.NaN);
        writer.Write(_found.Limit ?? double.NaN);
    }

    public override void Load(BinaryReader reader)
    {
        _holds = reader.ReadBoolean();
        (double value, double limit) = (reader.ReadDouble(), reader.ReadDouble());
        _found = new Finding(double.IsNaN(value) ? null : value, double.IsNaN(limit) ? null : limit);
    }
}

/// <summary>The computer's clock has stepped. It is over at once; the alarm stays until somebody has seen it.</summary>
internal sealed class ClockStepped() : StateCondition("clock", new() { Priority = AlarmPriority.Low })
{
    private Timestamp _when;
    private double _seconds;

    public override string Unit => "s";

    public override IEnumerable<AlarmPlace> Places(CellFacts facts) => [new AlarmPlace("cell")];

    /// <summary>Takes a step.</summary>
    public void Take(ClockStepInput step) => (_when, _seconds) = (step.Time, step.Step.TotalSeconds);

    protected override Standing Ask(CellFacts facts, AlarmPlace place, out Finding found)
    {
        found = new Finding(_seconds);
        return _seconds != 0 && facts.Now.UtcTicks - _when.UtcTicks < Timestamp.TicksPerSecond ? Standing.Holds : Standing.Clear;
    }

    public override void Save(BinaryWriter writer)
    {
        writer.Write(_when.UtcTicks);
        writer.Write(_seconds);
    }

    public override void Load(BinaryReader reader) => (_when, _seconds) = (new Timestamp(reader.ReadInt64()), reader.ReadDouble());
}
