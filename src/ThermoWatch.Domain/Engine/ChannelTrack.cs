using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>One channel on its way from readings to a curve: one reading behind, because a spike shows only beside its follower.</summary>
internal sealed class ChannelTrack(int index, ChannelDefinition definition, long nominalTicks, long gapTicks, int capacity)
{
    /// <summary>Weight of a new deviation in the noise estimate: about the last 64 readings count.</summary>
    private const double NoiseWeight = 1 / 64.0;

    private readonly bool _isPressure = definition.Role == ChannelRole.Pressure;
    private bool _hasPending;
    private long _pendingTicks;
    private double _pendingValue;
    private double _noiseVariance;

    public int Index { get; } = index;

    public ChannelDefinition Definition { get; } = definition;

    /// <summary>Usual distance of two readings, ticks.</summary>
    public long NominalTicks { get; } = nominalTicks;

    /// <summary>Readings further apart than this have a gap between them, ticks.</summary>
    public long GapTicks { get; } = gapTicks;

    public bool IsTemperature { get; } = definition.Unit == MeasuredUnit.DegreeCelsius;

    public Curve Curve { get; private set; } = new(gapTicks, capacity);

    /// <summary>Reason of the newest reading if it could not be judged; <see cref="QualityReason.None"/> if it could.</summary>
    public QualityReason Refusal { get; private set; }

    /// <summary>Time of the first of the latest unbroken row of open-circuit readings; null if the newest is none.</summary>
    public long? OpenSince { get; private set; }

    /// <summary>Whether the newest reading has shown the one before it to be a spike.</summary>
    public bool FoundSpike { get; private set; }

    /// <summary>The latest reading that turned out to be a spike.</summary>
    public Reading Spike { get; private set; }

    /// <summary>Last time of the open run up to which the channel shows its joint; the largest number while nothing speaks against it.</summary>
    public long SureUntil { get; set; } = long.MaxValue;

    /// <summary>Whether the channel shows its joint, as far as is known.</summary>
    public bool IsSure => SureUntil == long.MaxValue;

    /// <summary>Standard deviation of the noise, in the channel's unit, from each reading's distance to its neighbours' line.</summary>
    public double NoiseSigma => Math.Sqrt(_noiseVariance);

    /// <summary>Takes a new reading, and judges the one before it.</summary>
    /// <param name="reading">The reading; turned bad if it is out of order or not a pressure.</param>
    /// <returns>Whether the curve has grown.</returns>
    public bool Offer(ref Reading reading)
    {
        FoundSpike = false;
        if (_hasPending && reading.Time.UtcTicks < _pendingTicks && reading.Quality.HasValue)
        {
            reading = Reading.Bad(reading.Time, QualityReason.OutOfOrder);
            return false;
        }

        if (_isPressure && reading.Quality.HasValue && reading.Value <= 0)
        {
            reading = Reading.Bad(reading.Time, QualityReason.BelowRange);
        }

        if (!SpikeRule.MayBeJudged(reading.Quality))
        {
            Refuse(reading);
            return false;
        }

        Refusal = QualityReason.None;
        OpenSince = null;
        bool grown = _hasPending && reading.Time.UtcTicks > _pendingTicks && Settle(reading.Time.UtcTicks, reading.Value);
        (_hasPending, _pendingTicks, _pendingValue) = (true, reading.Time.UtcTicks, reading.Value);
        return grown;
    }

    /// <summary>Judges the newest reading without a follower, because the record ends with it.</summary>
    public bool Flush(long notAfter)
    {
        if (!_hasPending || _pendingTicks > notAfter || (Curve.Count > 0 && Curve.LastTicks >= _pendingTicks))
        {
            return false;
        }

        Curve.Append(_pendingTicks, _pendingValue);
        return true;
    }

    public void Save(BinaryWriter writer)
    {
        Curve.Save(writer);
        writer.Write(_hasPending);
        writer.Write(_pendingTicks);
        writer.Write(_pendingValue);
        writer.Write(_noiseVariance);
        writer.Write((int)Refusal);
        writer.Write(OpenSince ?? long.MinValue);
        writer.Write(SureUntil);
    }

    public void Load(BinaryReader reader)
    {
        Curve = Curve.Load(reader, GapTicks);
        _hasPending = reader.ReadBoolean();
        _pendingTicks = reader.ReadInt64();
        _pendingValue = reader.ReadDouble();
        _noiseVariance = reader.ReadDouble();
        Refusal = (QualityReason)reader.ReadInt32();
        long open = reader.ReadInt64();
        OpenSince = open == long.MinValue ? null : open;
        SureUntil = reader.ReadInt64();
    }

    private void Refuse(in Reading reading)
    {
        Refusal = reading.Quality.Reason;
        OpenSince = reading.Quality.Reason == QualityReason.OpenCircuit ? OpenSince ?? reading.Time.UtcTicks : null;
    }

    private bool Settle(long nextTicks, double nextValue)
    {
        if (Curve.Count > 0)
        {
            if (Curve.LastTicks >= _pendingTicks)
            {
                return false; // flushed at the end of a run
            }

            if ((IsTemperature && IsSpike(nextTicks, nextValue)) || (_isPressure && IsPressureSpike(nextTicks, nextValue)))
            {
                (FoundSpike, Spike) = (true, new Reading(new Timestamp(_pendingTicks), _pendingValue, SpikeRule.Mark));
                return false;
            }
        }

        Curve.Append(_pendingTicks, _pendingValue);
        return true;
    }

    private bool IsPressureSpike(long nextTicks, double nextValue) =>
        SpikeRule.IsPressureSpike(Curve.LastTicks, Curve.LastValue, _pendingTicks, _pendingValue, nextTicks, nextValue);

    private bool IsSpike(long nextTicks, double nextValue)
    {
        if (!SpikeRule.TryCheck(Curve.LastTicks, Curve.LastValue, _pendingTicks, _pendingValue, nextTicks, nextValue, out SpikeCheck check))
        {
            return false;
        }

        if (check.IsSpike)
        {
            return true;
        }

        // The deviation holds the noise of all three readings, each with its weight.
        double weight = 1 + (check.Share * check.Share) + ((1 - check.Share) * (1 - check.Share));
        _noiseVariance += ((check.Deviation * check.Deviation / weight) - _noiseVariance) * NoiseWeight;
        return false;
    }
}
