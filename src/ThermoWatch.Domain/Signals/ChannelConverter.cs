using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Signals;

/// <summary>Turns the raw number of one channel into its reading. Knows nothing of scans, devices or other channels.</summary>
internal sealed class ChannelConverter
{
    private const double AbsoluteZeroCelsius = -273.15;

    private readonly ChannelConversion _conversion;
    private readonly Thermocouple? _thermocouple;
    private readonly double _fixedColdJunctionCelsius;
    private readonly bool _isPlainNumber;
    private readonly bool _isPressure;
    private readonly double _scale;
    private readonly double _offset;
    private readonly double _lowest;
    private readonly double _highest;

    /// <exception cref="ArgumentException">The conversion contradicts itself; the text says in what.</exception>
    public ChannelConverter(ChannelDefinition channel)
    {
        _conversion = channel.Conversion;
        if (ConversionFault.Of(_conversion) is { } fault) throw new ArgumentException($"Channel {channel.Id}: {fault}", nameof(channel));

        // Most channels are numbers, scaled: their way through is short, as it is walked for every reading.
        _isPlainNumber = _conversion is { Sentinels.Count: 0, Word: WordFormat.Number, Bands: null, Law: null };
        _isPressure = _conversion.Unit == MeasuredUnit.Millibar;
        (_scale, _offset) = (_conversion.Scale, _conversion.Offset);
        (_lowest, _highest) = (_conversion.Lowest ?? double.NegativeInfinity, _conversion.Highest ?? double.PositiveInfinity);
        _thermocouple = _conversion.Thermocouple is { } letter ? Thermocouple.Of(letter) : null;
        _fixedColdJunctionCelsius = (_conversion.ColdJunction as ColdJunctionSource.Fixed)?.Celsius ?? 0;
        CompanionId = (_conversion.ColdJunction as ColdJunctionSource.FromChannel)?.ChannelId ?? _conversion.AmbientChannel;
    }

    /// <summary>Id of the channel whose reading the conversion needs; null if none.</summary>
    public string? CompanionId { get; }

    /// <summary>For how long a reading of that channel may be used.</summary>
    public double CompanionMaxAgeSeconds =>
        _thermocouple is null ? _conversion.AmbientMaxAgeSeconds : _conversion.ColdJunctionLimits.MaxAgeSeconds;

    /// <summary>Id of the status point; null if none.</summary>
    public string? StatusPoint => _conversion.Status?.Point;

    /// <param name="time">When the device was read.</param>
    /// <param name="raw">The number that stood in the device's words.</param>
    /// <param name="quality">What the driver says of it.</param>
    /// <param name="status">What the status register says; good without one.</param>
    /// <param name="companion">The reading of the channel <see cref="CompanionId"/>; anything without one.</param>
    /// <param name="bands">What the channel's signal levels have said so far; moved on.</param>
    public Reading Convert(Timestamp time, double raw, SignalQuality quality, SignalQuality status, Reading companion, ref BandState bands)
    {
        quality = Worse(quality, status);
        if (!quality.HasValue) return new Reading(time, double.NaN, quality);

        Converted value = Signal(raw, time, ref bands);
        if (value.Quality.HasValue) value = Measured(value, companion);
        if (value.Quality.HasValue) value = Checked(Calibrated(value, time));
        quality = Worse(quality, value.Quality);
        return new Reading(time, quality.HasValue ? value.Value : double.NaN, quality);
    }

    /// <summary>Quality of a status register's number, itself as good as the driver says.</summary>
    public SignalQuality ReadStatus(double raw, SignalQuality quality) => quality.HasValue ? _conversion.Status!.Read(raw) : quality;

    /// <summary>The worse of the two; the first where they are alike, as it is nearer to the cause.</summary>
    private static SignalQuality Worse(SignalQuality first, SignalQuality second) => second.Level > first.Level ? second : first;

    /// <summary>From the raw word to the number that the instrument meant.</summary>
    private Converted Signal(double raw, Timestamp time, ref BandState bands)
    {
        if (_isPlainNumber)
        {
            double number = (raw * _scale) + _offset;
            return double.IsFinite(raw) && double.IsFinite(number) ? Converted.Good(number) : Converted.Bad(QualityReason.NotANumber);
        }

        SignalQuality message = Message(raw);
        if (!message.HasValue) return new Converted(double.NaN, message);
        Converted word = PackedWord.Decode(raw, _conversion.Word);
        if (!word.Quality.HasValue) return word;

        double scaled = (word.Value * _scale) + _offset;
        if (!double.IsFinite(scaled)) return Converted.Bad(QualityReason.NotANumber);
        SignalQuality level = _conversion.Bands is { } levels ? bands.Next(levels, scaled, time) : SignalQuality.Good;
        SignalQuality quality = Worse(Worse(message, word.Quality), level);
        if (!quality.HasValue) return new Converted(double.NaN, quality);
        if (_conversion.Law is not { } law) return new Converted(scaled, quality);

        double measured = law.Apply(scaled);
        return double.IsFinite(measured) ? new Converted(measured, quality) : Converted.Bad(QualityReason.OutOfRange);
    }

    /// <summary>What the raw word says when it is a message; some of them are still numbers, such as those beyond a span.</summary>
    private SignalQuality Message(double raw)
    {
        for (int i = 0; i < _conversion.Sentinels.Count; i++)
        {
            if (_conversion.Sentinels[i].Matches(raw)) return _conversion.Sentinels[i].Quality;
        }

        return SignalQuality.Good;
    }

    /// <summary>From the instrument's number to the channel's unit.</summary>
    private Converted Measured(Converted signal, Reading companion)
    {
        if (_thermocouple is not null) return Junction(signal, companion);
        if (!_isPressure) return signal;

        double millibar = PressureUnits.Convert(signal.Value, _conversion.PressureUnit, PressureUnit.Millibar);
        if (_conversion.AmbientChannel is null) return signal with { Value = millibar };
        Converted absolute = GaugePressure.ToAbsolute(millibar, new Converted(companion.Value, companion.Quality));
        return absolute with { Quality = Worse(signal.Quality, absolute.Quality) };
    }

    private Converted Junction(Converted signal, Reading companion)
    {
        double coldJunction = _fixedColdJunctionCelsius;
        SignalQuality quality = signal.Quality;
        if (CompanionId is not null)
        {
            ColdJunctionLimits limits = _conversion.ColdJunctionLimits;
            bool isBelieved = companion.Quality.HasValue
                && companion.Value >= limits.LowestCelsius && companion.Value <= limits.HighestCelsius;
            if (!isBelieved) return Converted.Bad(QualityReason.ColdJunction);
            if (companion.Quality.Level != Quality.Good) quality = Worse(quality, SignalQuality.Uncertain(QualityReason.ColdJunction));
            coldJunction = companion.Value;
        }

        double millivolts = _conversion.Amplifier?.ToMillivolts(signal.Value, coldJunction) ?? signal.Value;
        Converted celsius = _conversion.ColdJunction is ColdJunctionSource.AlreadyApplied
            ? _thermocouple!.ToCelsius(millivolts)
            : _thermocouple!.ToCelsius(millivolts, coldJunction);
        return celsius with { Quality = Worse(quality, celsius.Quality) };
    }

    private Converted Calibrated(Converted value, Timestamp time) =>
        _conversion.Calibrations.At(time) is { } calibration ? value with { Value = calibration.Apply(value.Value) } : value;

    private Converted Checked(Converted value)
    {
        if (_isPressure)
        {
            // A gauge cannot measure nothing: zero and less is the end of its range, not a pressure. A signal that means nothing
            // definite says nothing of its range either.
            if (value.Value <= 0 || value.Value < _lowest)
            {
                bool isDefinite = value.Quality != SignalQuality.Uncertain(QualityReason.OutOfRange);
                return Converted.Bad(isDefinite ? QualityReason.BelowRange : QualityReason.OutOfRange);
            }
        }
        else if (value.Value < _lowest)
        {
            value = value with { Quality = Worse(value.Quality, SignalQuality.Uncertain(QualityReason.UnderRange)) };
        }

        if (value.Value > _highest)
        {
            value = value with { Quality = Worse(value.Quality, SignalQuality.Uncertain(QualityReason.OverRange)) };
        }

        return _conversion.Unit == MeasuredUnit.DegreeCelsius && value.Value < AbsoluteZeroCelsius
            ? Converted.Bad(QualityReason.OutOfRange)
            : value;
    }
}
