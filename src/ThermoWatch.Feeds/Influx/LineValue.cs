namespace ThermoWatch.Feeds.Influx;

/// <summary>Type of a field. A field keeps the type it was first written with; the database refuses another.</summary>
public enum LineValueType
{
    /// <summary>Floating point: the type of every measured value, also of a whole one.</summary>
    Float,

    /// <summary>Signed, written with an <c>i</c>.</summary>
    Integer,

    /// <summary>Unsigned, written with a <c>u</c>; databases of the first generation do not take it.</summary>
    Unsigned,

    /// <summary>True or false.</summary>
    Boolean,

    /// <summary>Text in quotes; a database that keeps numbers only makes a zero of it.</summary>
    Text,
}

/// <summary>Value of a field.</summary>
public readonly record struct LineValue
{
    private LineValue(LineValueType type, double number, ulong bits, string text) => (Type, Number, Bits, Words) = (type, number, bits, text);

    /// <summary>Its type.</summary>
    public LineValueType Type { get; }

    internal double Number { get; }

    internal ulong Bits { get; }

    internal string Words { get; }

    /// <summary>A measured value.</summary>
    public static LineValue Float(double value) => new(LineValueType.Float, value, 0, "");

    /// <summary>A count or a code.</summary>
    public static LineValue Integer(long value) => new(LineValueType.Integer, 0, unchecked((ulong)value), "");

    /// <summary>A count that may be greater.</summary>
    public static LineValue Unsigned(ulong value) => new(LineValueType.Unsigned, 0, value, "");

    /// <summary>True or false.</summary>
    public static LineValue Boolean(bool value) => new(LineValueType.Boolean, 0, value ? 1u : 0u, "");

    /// <summary>Text.</summary>
    public static LineValue Text(string value) => new(LineValueType.Text, 0, 0, value);
}

/// <summary>A whole line, for what comes rarely; readings are written without one.</summary>
/// <param name="Measurement">Name of the measurement.</param>
/// <param name="Tags">Tags in any order; one with an empty value is left out.</param>
/// <param name="Fields">Fields in the order in which they are written; at least one.</param>
/// <param name="Time">Whole units of the feed's precision since 1970-01-01T00:00:00Z.</param>
public sealed record LinePoint(
    string Measurement, IReadOnlyList<KeyValuePair<string, string>> Tags, IReadOnlyList<KeyValuePair<string, LineValue>> Fields, long Time);
