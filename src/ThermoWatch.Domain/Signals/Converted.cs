namespace ThermoWatch.Domain.Signals;

/// <summary>A converted number, or the reason why there is none.</summary>
/// <param name="Value">NaN exactly when the quality is bad.</param>
/// <param name="Quality">How far it may be trusted.</param>
public readonly record struct Converted(double Value, SignalQuality Quality)
{
    /// <summary>A number to judge by.</summary>
    public static Converted Good(double value) => new(value, SignalQuality.Good);

    /// <summary>No number, for this reason.</summary>
    public static Converted Bad(QualityReason reason) => new(double.NaN, SignalQuality.Bad(reason));
}
