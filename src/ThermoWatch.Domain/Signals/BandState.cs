namespace ThermoWatch.Domain.Signals;

/// <summary>Whether a transmitter's signal counts as failed: it does once it has stayed at a failure level for the filter time.</summary>
/// <remarks>
/// Between a failure level and measurement the last state holds (NAMUR NE 43): a failure lasts until the signal measures again,
/// and a signal on its way to failure has not come back. Until a failure counts the signal is doubtful, and not judged either.
/// </remarks>
internal struct BandState
{
    private static readonly SignalQuality s_doubtful = SignalQuality.Uncertain(QualityReason.OutOfRange);

    private Timestamp? _failingSince;
    private bool _failed;

    /// <summary>Quality of the next signal.</summary>
    /// <param name="bands">The signal's levels and the filter time.</param>
    /// <param name="signal">V or mA, finite.</param>
    /// <param name="time">When it was measured.</param>
    public SignalQuality Next(SignalBands bands, double signal, Timestamp time)
    {
        SignalQuality level = bands.Of(signal);
        if (bands.FilterSeconds <= 0) return level;
        if (!level.HasValue)
        {
            _failingSince ??= time;
            _failed |= time.SecondsSince(_failingSince.Value) >= bands.FilterSeconds;
            return _failed ? level : s_doubtful;
        }

        if (level == s_doubtful) return _failed ? SignalQuality.Bad(QualityReason.DeviceFault) : level;
        (_failingSince, _failed) = (null, false);
        return level;
    }

    public readonly void Save(BinaryWriter writer)
    {
        writer.Write(_failingSince?.UtcTicks ?? long.MinValue);
        writer.Write(_failed);
    }

    public static BandState Load(BinaryReader reader)
    {
        long since = reader.ReadInt64();
        return new BandState { _failingSince = since == long.MinValue ? null : new Timestamp(since), _failed = reader.ReadBoolean() };
    }
}
