using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Signals;

/// <summary>What a conversion's settings contradict themselves in.</summary>
public static class ConversionFault
{
    /// <summary>The first contradiction and what to do about it; null when there is none.</summary>
    public static string? Of(ChannelConversion conversion)
    {
        ArgumentNullException.ThrowIfNull(conversion);
        if (!double.IsFinite(conversion.Scale) || conversion.Scale == 0) return "the scale must be a number other than zero.";
        if (!double.IsFinite(conversion.Offset)) return "the offset must be a number.";
        if (conversion.Lowest > conversion.Highest) return "the lowest value lies above the highest.";
        if (conversion.Sentinels.Any(sentinel => sentinel.Quality.Level == Quality.Good)) return "a sentinel cannot be a good value.";
        if (conversion.Sentinels.Any(sentinel => sentinel.WordBits is not (0 or 16 or 32))) return "a sentinel's word has 16 or 32 bits, or 0 for a plain number.";
        if (conversion.Unit != MeasuredUnit.Millibar && conversion.AmbientChannel is not null) return "only a pressure has an ambient channel.";
        if (conversion.Thermocouple is { } letter) return OfThermocouple(conversion, letter);
        if (conversion.Amplifier is not null) return "an amplifier's law needs the letter of its thermocouple.";
        return conversion.ColdJunction is not null ? "a cold junction needs the letter of its thermocouple." : null;
    }

    private static string? OfThermocouple(ChannelConversion conversion, char letter)
    {
        if (Thermocouple.Find(letter) is not { } type) return $"'{letter}' is no thermocouple type; use one of {Thermocouple.Letters}.";
        if (conversion.Unit == MeasuredUnit.Millibar) return "a thermocouple gives no pressure; its unit is the millivolt.";
        if (conversion.Unit != MeasuredUnit.Millivolt && conversion.Amplifier is null) return "a thermocouple's unit is the millivolt unless an amplifier's law stands before it.";
        if (conversion.Amplifier is { MillivoltsPerUnit: 0 or double.NaN }) return "an amplifier's millivolts per unit must be a number other than zero.";
        return conversion.ColdJunction switch
        {
            null => "a thermocouple needs a cold junction; say which channel measures it, its fixed temperature, or that the instrument has applied it.",
            ColdJunctionSource.Fixed { Celsius: var celsius } when !type.ToMillivolts(celsius).Quality.HasValue => $"type {letter} is not defined at its cold junction's {celsius} °C.",
            ColdJunctionSource.AlreadyApplied when conversion.Amplifier is { IsRelativeToColdJunction: true } => "a straight-line converter's own temperature is needed to turn its line back; name the channel that carries it.",
            _ => null,
        };
    }
}
