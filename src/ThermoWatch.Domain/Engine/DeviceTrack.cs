using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>One device: when it was last heard, and how its connection stands.</summary>
internal sealed class DeviceTrack(DeviceDefinition definition, ImmutableArray<ChannelTrack> channels)
{
    private const long SilentTicks = 3 * Timestamp.TicksPerSecond;

    private readonly long _staleTicks = Math.Max(3 * definition.Period.Ticks, Timestamp.TicksPerSecond);
    private readonly long _alarmTicks = Math.Max(3 * definition.Period.Ticks, SilentTicks);
    private long? _heard;
    private bool _stale;
    private bool _hasSpoken;
    private DeviceState _state;
    private Timestamp _since;
    private string _reason = "";

    /// <summary>Whether it has said nothing for so long that somebody must be told.</summary>
    public bool IsSilent { get; private set; }

    public ImmutableArray<ChannelTrack> Channels => channels;

    /// <summary>A scan came; only one with a reading in it shows that the device lives.</summary>
    public void OnScan(RawScan scan)
    {
        foreach (SignalQuality quality in scan.Qualities)
        {
            if (quality.Reason is not (QualityReason.NoCommunication or QualityReason.NoReading or QualityReason.Garbled))
            {
                (_heard, _stale, _hasSpoken) = (scan.Time.UtcTicks, false, true);
                return;
            }
        }
    }

    public void OnState(DeviceStateInput input) => (_state, _since, _reason) = (input.State, input.Time, input.Reason);

    /// <summary>Looks whether it has been silent for too long, and marks its readings; true if that has changed.</summary>
    public bool OnTime(Timestamp now, Reading[] readings)
    {
        _heard ??= now.UtcTicks;
        long silent = now.UtcTicks - _heard.Value;
        if (silent > _staleTicks && !_stale)
        {
            _stale = true;
            foreach (ChannelTrack channel in channels)
            {
                ref Reading reading = ref readings[channel.Index];
                if (reading.Quality.HasValue)
                {
                    reading = reading with { Quality = SignalQuality.Uncertain(QualityReason.Stale) };
                }
            }
        }

        // A device that is down cannot be heard, whatever came a moment ago; only a reading takes the alarm back, not a try to reach it
        // again: else a service that is started anew soon after would forget that somebody has seen it.
        bool before = IsSilent;
        IsSilent = (before && !_hasSpoken) || silent >= _alarmTicks || (_state == DeviceState.Down && _since.UtcTicks >= _heard.Value);
        _hasSpoken = false;
        return IsSilent != before;
    }

    public DevicePicture ToPicture() => new(definition.Id, _state, _since, _reason);

    public void Save(BinaryWriter writer)
    {
        writer.Write(IsSilent);
        writer.Write(_heard ?? long.MinValue);
        writer.Write(_stale);
        writer.Write((int)_state);
        writer.Write(_since.UtcTicks);
        writer.Write(_reason);
    }

    public void Load(BinaryReader reader)
    {
        IsSilent = reader.ReadBoolean();
        long heard = reader.ReadInt64();
        _heard = heard == long.MinValue ? null : heard;
        _stale = reader.ReadBoolean();
        _state = (DeviceState)reader.ReadInt32();
        _since = new Timestamp(reader.ReadInt64());
        _reason = reader.ReadString();
    }
}
