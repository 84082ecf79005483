namespace ThermoWatch.Domain.Signals;

/// <summary>What a channel last said, for the channels whose conversion needs it: a cold junction, a barometer.</summary>
/// <remarks>
/// Silence and a stated fault are two things. When nothing arrives, the last value holds until it is too old: terminals and
/// weather do not jump. When the instrument says that this sensor is open or out of range, it holds no longer.
/// </remarks>
internal struct CompanionReading
{
    private Reading _last;

    public static CompanionReading None => new() { _last = Reading.Bad(default, QualityReason.NoReading) };

    public void Accept(Reading reading)
    {
        if (reading.Quality.HasValue || !IsSilence(reading.Quality.Reason)) _last = reading;
    }

    /// <summary>The reading as it may be used at this moment; bad when there is none or it is too old.</summary>
    public readonly Reading At(Timestamp time, double maxAgeSeconds) =>
        _last.Quality.HasValue && Math.Abs(time.SecondsSince(_last.Time)) > maxAgeSeconds
            ? Reading.Bad(time, QualityReason.Stale)
            : _last;

    public readonly void Save(BinaryWriter writer)
    {
        writer.Write(_last.Time.UtcTicks);
        writer.Write(_last.Value);
        writer.Write((byte)_last.Quality.Level);
        writer.Write((byte)_last.Quality.Reason);
    }

    public static CompanionReading Load(BinaryReader reader) => new()
    {
        _last = new Reading(
            new Timestamp(reader.ReadInt64()),
            reader.ReadDouble(),
            new SignalQuality((Quality)reader.ReadByte(), (QualityReason)reader.ReadByte())),
    };

    private static bool IsSilence(QualityReason reason) => reason is QualityReason.NoReading
        or QualityReason.NoCommunication or QualityReason.Refused or QualityReason.Garbled or QualityReason.Stale;
}
