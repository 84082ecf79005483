using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Text;

/// <summary>How a line is divided into fields.</summary>
public enum TextLayout
{
    /// <summary>By position: <c>12.3,45.6</c>.</summary>
    Fields,

    /// <summary>By name: <c>t1=12.3 t2=45.6</c>.</summary>
    KeyValue,
}

/// <summary>How a number is written.</summary>
public enum TextNumber
{
    /// <summary>With digits, point and exponent: <c>-12.3E+1</c>.</summary>
    Decimal,

    /// <summary>A word of up to 52 bits in hexadecimal digits, such as the 32-bit frame of a thermocouple converter; <c>0x</c> may stand before it.</summary>
    Hexadecimal,

    /// <summary>A word of up to 52 bits in the digits 0 and 1; <c>0b</c> may stand before it.</summary>
    Binary,
}

/// <summary>Check at the end of a line: a mark, then hexadecimal digits.</summary>
public enum TextChecksum
{
    /// <summary>None.</summary>
    None,

    /// <summary>Two digits: all bytes before the mark, combined by exclusive or.</summary>
    Xor,

    /// <summary>Two digits: two's complement of the sum of all bytes before the mark, as in Modbus ASCII.</summary>
    Lrc,

    /// <summary>Four digits, high byte first: the CRC of Modbus RTU over all bytes before the mark.</summary>
    Crc16,
}

/// <summary>One value of a line.</summary>
public sealed record TextPoint
{
    /// <summary>Unique in the device.</summary>
    public required string Id { get; init; }

    /// <summary>Position of its field from 0, or its name where fields have names.</summary>
    public required string Field { get; init; }

    /// <summary>How it is written.</summary>
    public TextNumber Number { get; init; } = TextNumber.Decimal;

    /// <summary>For a word: its lowest bit that belongs to the value, 0 to 51.</summary>
    public int FirstBit { get; init; }

    /// <summary>For a word: how many bits belong to the value, 1 to 52; 0 for the whole word.</summary>
    public int BitCount { get; init; }

    /// <summary>For a word: whether the highest of these bits is the sign (two's complement); needs <see cref="BitCount"/>.</summary>
    public bool Signed { get; init; }

    /// <summary>Where its number can lie, unscaled; null: anywhere.</summary>
    public PlausibleRange? Plausible { get; init; }
}

/// <summary>How lines look.</summary>
public sealed record TextFormat
{
    /// <summary>How a line is divided.</summary>
    public TextLayout Layout { get; init; } = TextLayout.Fields;

    /// <summary>Between two fields. Spaces around fields never count; a space stands for any number of spaces or tabs.</summary>
    public char Separator { get; init; } = ',';

    /// <summary>By position: how many fields a whole line has. A line with another number was cut or joined.</summary>
    public int FieldCount { get; init; }

    /// <summary>Check at the end.</summary>
    public TextChecksum Checksum { get; init; } = TextChecksum.None;

    /// <summary>Mark before the check.</summary>
    public char ChecksumMark { get; init; } = '*';

    /// <summary>Words that stand where a number cannot, and what they mean, such as <c>OPEN</c>.</summary>
    public IReadOnlyDictionary<string, QualityReason> Words { get; init; } = new Dictionary<string, QualityReason>();
}

/// <summary>A converter that talks lines of text, unasked or when asked, on a serial port or a socket.</summary>
public sealed record TextDeviceOptions : DeviceOptions
{
    /// <summary>The port; null for a socket.</summary>
    public SerialSettings? Serial { get; init; }

    /// <summary>Name or number address for a socket; null for a port.</summary>
    public string? Host { get; init; }

    /// <summary>TCP port for a socket.</summary>
    public int Port { get; init; }

    /// <summary>What is sent to get a line, without its end; null if the device talks unasked.</summary>
    public string? Query { get; init; }

    /// <summary>End of the query: line feed by IEEE 488.2.</summary>
    public string QueryEnd { get; init; } = "\n";

    /// <summary>Longest time for an answer: 10 ms to 30 s.</summary>
    public TimeSpan Timeout { get; init; } = TimeSpan.FromMilliseconds(500);

    /// <summary>How lines look.</summary>
    public required TextFormat Format { get; init; }

    /// <summary>What to take from a line.</summary>
    public required IReadOnlyList<TextPoint> Points { get; init; }

    /// <inheritdoc/>
    public override IReadOnlyList<string> PointIds => [.. Points.Select(p => p.Id)];

    /// <inheritdoc/>
    public override IReadOnlyList<PlausibleRange?> Plausible => [.. Points.Select(p => p.Plausible)];

    /// <inheritdoc/>
    /// <remarks>Lines that reach us together have come within no time that we could tell.</remarks>
    public override bool HasOwnPace => Query is null;

    internal override void Check(OptionsCheck check)
    {
        if ((Serial is null) == (Host is null)) check.Add("serial", "A device has either a serial port or a host.", "Give exactly one of the two.");
        Serial?.Check(check);
        if (Host is not null)
        {
            check.NotEmpty("host", Host, "Write the device's name or number address.");
            check.Range("port", Port, 1, 65535, "a TCP port");
        }

        check.Span("timeout", Timeout, TimeSpan.FromMilliseconds(10), TimeSpan.FromSeconds(30));
        if (Query is not null) check.NotEmpty("query", Query, "Write what the device is asked with, or leave it out if it talks unasked.");
        check.Known("format.layout", Format.Layout);
        check.Known("format.checksum", Format.Checksum);
        if (Format.Layout == TextLayout.Fields) check.Range("format.fieldCount", Format.FieldCount, 1, 256, "a number of fields");
        for (int i = 0; i < Points.Count; i++) Check(check, $"points[{i}]", Points[i]);
    }

    private void Check(OptionsCheck check, string member, TextPoint point)
    {
        check.Id($"{member}.id", point.Id);
        check.Known($"{member}.number", point.Number);
        if (Format.Layout == TextLayout.KeyValue)
            check.NotEmpty($"{member}.field", point.Field, "Write the name before the equals sign.");
        else if (!int.TryParse(point.Field, out int position) || position < 0 || position >= Format.FieldCount)
            check.Add($"{member}.field", $"'{point.Field}' is no position in a line of {Format.FieldCount} fields.", $"Use 0 to {Format.FieldCount - 1}.");
        check.Range($"{member}.firstBit", point.FirstBit, 0, 51, "a bit");
        check.Range($"{member}.bitCount", point.BitCount, 0, 52 - point.FirstBit, "a number of bits");
        if (point.Number == TextNumber.Decimal && (point.FirstBit != 0 || point.BitCount != 0 || point.Signed))
            check.Add($"{member}.bitCount", "Bits are given, but the number is decimal.", "Set the number to Hexadecimal or Binary, or leave the bits out.");
        if (point.Signed && point.BitCount == 0)
            check.Add($"{member}.signed", "It is signed, but its bits are not counted.", "Give bitCount: the highest bit is the sign.");
    }
}
