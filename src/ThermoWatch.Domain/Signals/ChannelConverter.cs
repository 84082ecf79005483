using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Signals;

/// <summary>Turns the raw number of one channel into its reading. Knows nothing of scans, devices or other channels.</summary>
internal sealed class ChannelConverter
{
    private const double AbsoluteZeroCelsius = -273.15;

    private readonly ChannelConversion _conversion;
    private readonly Thermocouple? _thermocouple;
    private readonly double _fixedColdJunctionCelsius;

    /// <exception cref="ArgumentException">The conversion contradicts itself; the text says in what.</exception>
    public ChannelConverter(ChannelDefinition channel)
    {
        _conversion = channel.Conversion;
        if (_conversion.Thermocouple is not { } letter) return;

        _thermocouple = Thermocouple.Find(letter)
            ?? throw new ArgumentException($"Channel {channel.Id}: '{letter}' is no thermocouple type; use one of {Thermocouple.Letters}.", nameof(channel));
        if (_conversion.ColdJunction is null)
        {
            throw new ArgumentException($"Channel {channel.Id}: a thermocouple needs a cold junction; say which channel measures it, its fixed temperature, or that the instrument has applied it.", nameof(channel));
        }

        _fixedColdJunctionCelsius = _conversion.ColdJunction is ColdJunctionSource.Fixed { Celsius: double celsius } ? celsius : 0;
        CompanionId = (_conversion.ColdJunction as ColdJunctionSource.FromChannel)?.ChannelId;
    }

    /// <summary>Id of the channel whose reading the conversion needs; null if none.</summary>
    public string? CompanionId { get; }

    /// <summary>For how long a reading of that channel may be used.</summary>
    public double CompanionMaxAgeSeconds => _conversion.ColdJunctionLimits.MaxAgeSeconds;

    /// <param name="time">When the device was read.</param>
    /// <param name="raw">The number that stood in the device's words.</param>
    /// <param name="quality">What the driver says of it.</param>
    /// <param name="companion">The reading of the channel <see cref="CompanionId"/>; anything without one.</param>
    public Reading Convert(Timestamp time, double raw, SignalQuality quality, Reading companion)
    {
        if (!quality.HasValue) return new Reading(time, double.NaN, quality);

        double measured = (raw * _conversion.Scale) + _conversion.Offset;
        if (!double.IsFinite(measured)) return Reading.Bad(time, QualityReason.NotANumber);
        if (_thermocouple is not null) return Junction(time, measured, quality, companion);

        return _conversion.Unit switch
        {
            // A gauge cannot measure nothing: zero and less is the end of its range, not a pressure.
            MeasuredUnit.Millibar when measured <= 0 => Reading.Bad(time, QualityReason.BelowRange),
            MeasuredUnit.DegreeCelsius when measured < AbsoluteZeroCelsius => Reading.Bad(time, QualityReason.OutOfRange),
            _ => new Reading(time, measured, quality),
        };
    }

    private Reading Junction(Timestamp time, double millivolts, SignalQuality quality, Reading companion)
    {
        Converted converted;
        if (CompanionId is null)
        {
            converted = _conversion.ColdJunction is ColdJunctionSource.AlreadyApplied
                ? _thermocouple!.ToCelsius(millivolts)
                : _thermocouple!.ToCelsius(millivolts, _fixedColdJunctionCelsius);
        }
        else
        {
            ColdJunctionLimits limits = _conversion.ColdJunctionLimits;
            bool isBelieved = companion.Quality.HasValue
                && companion.Value >= limits.LowestCelsius && companion.Value <= limits.HighestCelsius;
            if (!isBelieved) return Reading.Bad(time, QualityReason.ColdJunction);
            if (quality.Level == Quality.Good && companion.Quality.Level != Quality.Good)
            {
                quality = SignalQuality.Uncertain(QualityReason.ColdJunction);
            }

            converted = _thermocouple!.ToCelsius(millivolts, companion.Value);
        }

        return converted.Quality.HasValue
            ? new Reading(time, converted.Value, quality)
            : new Reading(time, double.NaN, converted.Quality);
    }
}
