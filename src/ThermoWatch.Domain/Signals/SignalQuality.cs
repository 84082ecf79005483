namespace ThermoWatch.Domain.Signals;

/// <summary>How far a reading may be trusted. The numbers stand in records and on the wire: never renumber.</summary>
/// <remarks>The three levels follow the severity bits of OPC UA status codes (Part 4, 7.39).</remarks>
public enum Quality
{
    /// <summary>A value to judge by.</summary>
    Good = 0,

    /// <summary>A value that is shown with its doubt, and judged only for the reasons that allow it.</summary>
    Uncertain = 1,

    /// <summary>Not a value: nothing judges, plots or forwards it as if it were one.</summary>
    Bad = 2,
}

/// <summary>Why a reading is not simply good. The numbers stand in records: never renumber, only append.</summary>
public enum QualityReason
{
    /// <summary>Nothing to say: the quality is good.</summary>
    None = 0,

    /// <summary>No reading has come yet.</summary>
    NoReading = 1,

    /// <summary>The device did not answer in time, or the line is down.</summary>
    NoCommunication = 2,

    /// <summary>The device answered that it cannot give this point (a Modbus exception).</summary>
    Refused = 3,

    /// <summary>The answer could not be understood.</summary>
    Garbled = 4,

    /// <summary>The instrument says that the sensor is open, or its raw word is the one for that.</summary>
    OpenCircuit = 5,

    /// <summary>Outside what the sensor or the conversion is defined for.</summary>
    OutOfRange = 6,

    /// <summary>The cold junction of this thermocouple is not known well enough.</summary>
    ColdJunction = 7,

    /// <summary>Not a number, or infinite.</summary>
    NotANumber = 8,

    /// <summary>One reading far from both neighbours.</summary>
    Spike = 9,

    /// <summary>Not later than the reading before it.</summary>
    OutOfOrder = 10,

    /// <summary>Older than it may be.</summary>
    Stale = 11,

    /// <summary>Below the instrument's span, but still measured.</summary>
    UnderRange = 12,

    /// <summary>Above the instrument's span, but still measured.</summary>
    OverRange = 13,

    /// <summary>Below what the gauge can tell from nothing.</summary>
    BelowRange = 14,

    /// <summary>The instrument reports a fault of its own.</summary>
    DeviceFault = 15,

    /// <summary>The ambient pressure that a relative gauge needs is not known well enough.</summary>
    AmbientPressure = 16,

    /// <summary>The thermocouple has come off what it measured, or reads low for another cause of its own, as the other sensors show.</summary>
    Detached = 17,
}

/// <summary>A quality and its reason.</summary>
/// <param name="Level">How far the reading may be trusted.</param>
/// <param name="Reason">Why, when it is not simply good.</param>
public readonly record struct SignalQuality(Quality Level, QualityReason Reason)
{
    /// <summary>A value to judge by.</summary>
    public static SignalQuality Good => default;

    /// <summary>Not a value, for this reason.</summary>
    public static SignalQuality Bad(QualityReason reason) => new(Quality.Bad, reason);

    /// <summary>A doubtful value, for this reason.</summary>
    public static SignalQuality Uncertain(QualityReason reason) => new(Quality.Uncertain, reason);

    /// <summary>Whether there is a number at all.</summary>
    public bool HasValue => Level != Quality.Bad;

    /// <summary>As written in files: <c>good</c>, or the level and the reason, such as <c>bad:outOfRange</c>.</summary>
    public override string ToString() => Reason == QualityReason.None
        ? CamelCase(Level.ToString())
        : $"{CamelCase(Level.ToString())}:{CamelCase(Reason.ToString())}";

    private static string CamelCase(string name) => char.ToLowerInvariant(name[0]) + name[1..];
}
