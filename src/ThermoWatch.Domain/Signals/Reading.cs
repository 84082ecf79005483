namespace ThermoWatch.Domain.Signals;

/// <summary>One converted value of one channel.</summary>
/// <param name="Time">When it was measured.</param>
/// <param name="Value">In the channel's unit (°C, or mbar absolute); NaN exactly when the quality is bad.</param>
/// <param name="Quality">How far it may be trusted, and why.</param>
public readonly record struct Reading(Timestamp Time, double Value, SignalQuality Quality)
{
    /// <summary>A reading without a value.</summary>
    public static Reading Bad(Timestamp time, QualityReason reason) => new(time, double.NaN, SignalQuality.Bad(reason));
}
