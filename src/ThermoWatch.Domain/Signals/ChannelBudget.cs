using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Thermocouples;

namespace ThermoWatch.Domain.Signals;

/// <summary>The uncertainty budget of a channel's reading, from whoever knows most of it.</summary>
public static class ChannelBudget
{
    /// <summary>The type that a spec's measurement speaks of when a channel does not name its own: the usual one on boards.</summary>
    private const char UsualLetter = 'K';

    /// <summary>The budget of one reading, in K or mbar; null when nobody has said anything of the channel's errors.</summary>
    /// <param name="channel">The channel. What it says of itself counts before what the spec says.</param>
    /// <param name="value">The reading, °C or mbar.</param>
    /// <param name="time">When it was measured: the calibration of that moment replaces the sensor's tolerance.</param>
    /// <param name="chain">What the spec of the run says of temperatures; null: nothing.</param>
    /// <param name="coldJunctionCelsius">Temperature of the cold junction then; null: not known, its error counts in full.</param>
    public static UncertaintyBudget? At(
        ChannelDefinition channel, double value, Timestamp time, MeasurementChain? chain = null, double? coldJunctionCelsius = null)
    {
        ArgumentNullException.ThrowIfNull(channel);
        Calibration? calibration = channel.Conversion.Calibrations.At(time);
        if (channel.Unit == MeasuredUnit.Millibar) return channel.PressureUncertainty?.BudgetAt(value, calibration);
        if (channel.Unit != MeasuredUnit.DegreeCelsius) return null;

        char? letter = channel.Conversion.Thermocouple ?? channel.TemperatureUncertainty?.Letter;
        if (channel.TemperatureUncertainty is { } own)
        {
            return own.BudgetAt(letter is { } known ? Thermocouple.Of(known) : null, value, coldJunctionCelsius, calibration);
        }

        return chain is null
            ? null
            : TemperatureUncertainty.Of(chain).BudgetAt(Thermocouple.Of(letter ?? UsualLetter), value, coldJunctionCelsius, calibration);
    }
}
