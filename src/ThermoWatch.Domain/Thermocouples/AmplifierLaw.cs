namespace ThermoWatch.Domain.Thermocouples;

/// <summary>Turns back what an amplifier or converter made of the EMF by a straight line, so that it can be converted properly.</summary>
/// <remarks>
/// <c>E = (x - ReferenceInput - tcj, if relative) × MillivoltsPerUnit - OffsetMillivolts</c>. What then happens with the cold junction says
/// the channel: a part that compensates inside gives an EMF against 0 °C. Amplifiers differ from part to part:
/// gain and offset are settings to be calibrated, the presets are their nominal values.
/// </remarks>
/// <param name="MillivoltsPerUnit">EMF for one unit of the shown value: slope, or 1000 over the gain for volts. Not zero.</param>
/// <param name="ReferenceInput">Shown value without EMF, in its unit: a reference voltage, or an offset at the output.</param>
/// <param name="OffsetMillivolts">Offset at the amplifier's input.</param>
/// <param name="IsRelativeToColdJunction">Whether the shown value has the cold junction's temperature added to it.</param>
public sealed record AmplifierLaw(
    double MillivoltsPerUnit, double ReferenceInput = 0, double OffsetMillivolts = 0, bool IsRelativeToColdJunction = false)
{
    /// <summary>Converters that show <c>V / slope + tcj</c>, as if the thermocouple were a straight line.</summary>
    /// <remarks>The channel's cold junction must be the temperature that the converter added, usually its own.</remarks>
    /// <param name="microvoltsPerKelvin">Their constant; 41.276 for type K.</param>
    public static AmplifierLaw StraightLine(double microvoltsPerKelvin = 41.276) =>
        new(microvoltsPerKelvin / 1000, IsRelativeToColdJunction: true);

    /// <summary>Amplifiers with built-in compensation and nominally 5 mV/K; the shown value is V.</summary>
    /// <remarks>
    /// Gain 122.4 and output offset 1.25 mV: maker's application note for type K, as code that cites it carries them. The note's own
    /// table fits 2.63 mV better (0.28 K): calibrate. Many boards add a reference of 1.25 V, others none; the wrong one is 250 K.
    /// </remarks>
    public static AmplifierLaw FiveMillivoltsPerKelvin(double referenceVolts, double gain = 122.4, double outputOffsetVolts = 0.00125) =>
        new(1000 / gain, referenceVolts + outputOffsetVolts);

    /// <summary>Amplifiers with built-in compensation and nominally 10 mV/K; the shown value is V.</summary>
    /// <remarks>Gain 247.3 and input offset 0.011 mV: data sheet values for type K. For type J: 193.4 and 0.016 mV, the latter from memory.</remarks>
    public static AmplifierLaw TenMillivoltsPerKelvin(double gain = 247.3, double offsetMillivolts = 0.011) =>
        new(1000 / gain, OffsetMillivolts: offsetMillivolts);

    /// <summary>The EMF at the amplifier's input, in mV.</summary>
    /// <param name="shown">What the instrument gives: °C, or V.</param>
    /// <param name="coldJunctionCelsius">Used only when the law is relative to it.</param>
    public double ToMillivolts(double shown, double coldJunctionCelsius)
    {
        double excess = shown - ReferenceInput;
        if (IsRelativeToColdJunction) excess -= coldJunctionCelsius;
        return (excess * MillivoltsPerUnit) - OffsetMillivolts;
    }
}
