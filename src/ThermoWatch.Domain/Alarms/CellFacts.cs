using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>What conditions may ask about a cell: a view of the engine's state, and the only way from alarms into it.</summary>
internal sealed class CellFacts
{
    private readonly Reading[] _readings;
    private readonly DeviceTrack[] _devices;
    private readonly VacuumTracker _vacuum;

    public CellFacts(
        CellDefinition cell, Reading[] readings, ChannelTrack[] channels, DeviceTrack[] devices, CarrierTrack[] carriers,
        ChannelTrack? gauge, VacuumTracker vacuum, Func<CarrierTrack, double> vapourPressure)
    {
        (Cell, _readings, Channels, _devices, Gauge, _vacuum) = (cell, readings, channels, devices, gauge, vacuum);
        Vapour = channels.FirstOrDefault(c => c.Definition.Role == ChannelRole.Vapour);
        Carriers = [.. carriers.Select(c => new CarrierFacts(this, c, vapourPressure))];
    }

    public CellDefinition Cell { get; }

    public AlarmRules Rules => Cell.Alarms;

    public ImmutableArray<CarrierFacts> Carriers { get; }

    public ChannelTrack[] Channels { get; }

    /// <summary>The chamber's gauge; null without one.</summary>
    public ChannelTrack? Gauge { get; }

    /// <summary>The vapour's thermocouple; null without one.</summary>
    public ChannelTrack? Vapour { get; }

    /// <summary>Time of the newest input.</summary>
    public Timestamp Now { get; set; }

    /// <summary>Counts the looks, so that what several conditions ask for is computed once.</summary>
    public long LookNumber { get; set; }

    /// <summary>Rest pressure of the chamber, mbar; NaN before any.</summary>
    public double RestPressure => _vacuum.RestPressure;

    /// <summary>Whether the chamber is in an evacuation.</summary>
    public bool InVacuumStep => _vacuum.Current is not null;

    /// <summary>Newest reading of a channel.</summary>
    public ref readonly Reading ReadingOf(int channel) => ref _readings[channel];

    /// <summary>Whether a device has said nothing for so long that it counts as silent.</summary>
    public bool IsSilent(int device) => _devices[device].IsSilent;

    /// <summary>Index of a channel's device.</summary>
    public int DeviceOf(int channel) => Array.FindIndex(_devices, d => d.Channels.Contains(Channels[channel]));

    /// <summary>Whether a channel has a judged reading that is no older than its gap limit allows.</summary>
    public bool IsFresh(ChannelTrack track) => track.Curve.Count > 0 && Now.UtcTicks - track.Curve.LastTicks <= Math.Max(track.GapTicks, Timestamp.TicksPerSecond);

    /// <summary>Index of the carrier that a product channel belongs to; -1 for a shared channel.</summary>
    public int CarrierOf(int channel)
    {
        for (int i = 0; i < Carriers.Length; i++)
        {
            if (Carriers[i].WatchOf(channel) is not null)
            {
                return i;
            }
        }

        return -1;
    }

    /// <summary>Whether an alarm of a condition was raised in a run, on a channel if one is named.</summary>
    public required Func<string, string?, long, bool> WasRaised { get; init; }

    /// <summary>Whether another alarm of the same condition and carrier holds and is told: it asks for the same as this one would.</summary>
    public required Func<Alarm, bool> HasLeader { get; init; }
}
