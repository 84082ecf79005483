using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>Alarms on the temperature of one product channel.</summary>
internal sealed class ProductAlarms(ChannelTrack track)
{
    private const long OnDelayTicks = Timestamp.TicksPerSecond;
    private const double LeastDeadbandKelvin = 1;
    private const double DeadbandSigmas = 6;

    private long _lastTicks = long.MinValue;
    private double? _ceiling;

    public Alarm TooHot { get; } = new("tooHot", track.Definition.Id, track.Definition.Id);

    /// <summary>Takes the lowest upper limit of the peak that holds for the channel, whatever its weight.</summary>
    public AlarmEvent? Use(Spec spec, Timestamp time)
    {
        _ceiling = null;
        foreach (Limit limit in spec.Limits)
        {
            if (limit.Figure is "peakTemperature" or "sustainedPeak" && limit.Upper is { } upper && RunEvaluator.HoldsFor(limit, track.Definition))
            {
                _ceiling = Math.Min(_ceiling ?? upper, upper);
            }
        }

        return _ceiling is null ? TooHot.Set(active: false, time) : null;
    }

    /// <summary>The channel's curve has grown.</summary>
    public AlarmEvent? OnGrown(long? run)
    {
        long now = track.Curve.LastTicks;
        bool broken = _lastTicks == long.MinValue || now - _lastTicks > track.GapTicks;
        _lastTicks = now;
        return _ceiling is { } limit && (track.Curve.LastValue > limit || !TooHot.IsQuiet)
            ? TooHot.WatchUpper(
                new Timestamp(now), track.Curve.LastValue, limit,
                Math.Max(LeastDeadbandKelvin, DeadbandSigmas * track.NoiseSigma), OnDelayTicks, broken, run)
            : null;
    }

    public void Save(BinaryWriter writer)
    {
        TooHot.Save(writer);
        writer.Write(_lastTicks);
    }

    /// <summary>Reads what <see cref="Save"/> wrote; the spec must be in use already.</summary>
    public void Load(BinaryReader reader)
    {
        TooHot.Load(reader);
        _lastTicks = reader.ReadInt64();
    }
}
