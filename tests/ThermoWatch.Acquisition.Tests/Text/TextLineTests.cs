using System.Text;
using CsCheck;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Text;

public sealed class TextLineTests
{
    private static readonly TextFormat Csv = new() { FieldCount = 3 };
    private static readonly TextFormat Pairs = new() { Layout = TextLayout.KeyValue, Separator = ' ' };

    [Theory]
    [InlineData("1.5,-2,3e2", 1.5, 300)]
    [InlineData(" +1.5 , x , 300", 1.5, 300)]
    public void Fields_by_position(string line, double first, double last) => Assert.Equal([first, last], Values(Csv, line, "0", "2"));

    [Theory]
    [InlineData("a=1.5 b=2", 1.5, 2)]
    [InlineData("t=9  b=2\ta=1.5 ", 1.5, 2)]
    public void Fields_by_name(string line, double a, double b) => Assert.Equal([a, b], Values(Pairs, line, "a", "b"));

    [Theory]
    [InlineData("1,2")] // cut
    [InlineData("1,2,3,4")] // joined
    [InlineData("1,2,3x")]
    [InlineData("1,2,")]
    [InlineData("1,2,3,5")] // decimal comma
    [InlineData("1,2,NaN")]
    [InlineData("1,2,Infinity")]
    [InlineData("1,2,0x1F")]
    [InlineData("")]
    public void A_line_is_taken_whole_or_not_at_all(string line) => Assert.NotNull(Fault(Csv, line, "0", "2"));

    [Theory]
    [InlineData("a=1")]
    [InlineData("a=1 b=2 a=3")] // two lines run into one
    [InlineData("a=1 b=")]
    public void A_named_line_must_hold_each_name_once(string line) => Assert.NotNull(Fault(Pairs, line, "a", "b"));

    // The body 11 03 00 6B 00 03 as text: LRC 7E and CRC bytes 76 87 are published for the binary bytes (tests/reference/protocol);
    // for the text "123456789" the catalogue gives CRC 4B37, its exclusive or is 31h and its LRC 23h (sum 477 = 1DDh; two's complement of DDh), by hand.
    [Theory]
    [InlineData(TextChecksum.Xor, "123456789*31", true)]
    [InlineData(TextChecksum.Lrc, "123456789*23", true)]
    [InlineData(TextChecksum.Crc16, "123456789*4B37", true)]
    [InlineData(TextChecksum.Xor, "123456788*31", false)]
    [InlineData(TextChecksum.Crc16, "123456789*374B", false)]
    [InlineData(TextChecksum.Xor, "123456789", false)]
    [InlineData(TextChecksum.Xor, "123456789*3", false)]
    public void A_check_must_fit(TextChecksum checksum, string line, bool good)
    {
        string? fault = Fault(new TextFormat { FieldCount = 1, Checksum = checksum }, line, "0");
        Assert.Equal(good, fault is null);
    }

    [Fact]
    public void Words_of_the_device_are_qualities()
    {
        TextFormat format = Csv with { Words = new Dictionary<string, QualityReason> { ["OPEN"] = QualityReason.OpenCircuit } };
        var values = new double[2];
        var qualities = new SignalQuality[2];
        Assert.Null(Line(format, "0", "2").Take("open,1,9.91E37"u8, values, qualities));
        Assert.All(values, v => Assert.Equal(double.NaN, v));
        Assert.Equal([SignalQuality.Bad(QualityReason.OpenCircuit), SignalQuality.Bad(QualityReason.NotANumber)], qualities);
    }

    // The 32-bit frame of a thermocouple converter: bits 31:18 signed quarters of a degree, 15:4 signed sixteenths, bit 16 fault, bit 0 open.
    // 0F501910h = 245.00 and 25.0625 °C; FF5C1910h = -10.25 °C (computed from the data sheet's layout).
    [Theory]
    [InlineData("0F501910", TextNumber.Hexadecimal, 980, 401, 0)]
    [InlineData("0xFF5C1910", TextNumber.Hexadecimal, -41, 401, 0)]
    [InlineData("00001111010100000001100100010000", TextNumber.Binary, 980, 401, 0)]
    [InlineData("0F511911", TextNumber.Hexadecimal, 980, 401, 1)]
    public void A_converter_frame_is_taken_apart_by_its_bits(string line, TextNumber number, double hot, double cold, double fault)
    {
        TextPoint word = new() { Id = "x", Field = "0", Number = number };
        TextPoint[] points =
        [
            word with { Id = "hot", FirstBit = 18, BitCount = 14, Signed = true },
            word with { Id = "cold", FirstBit = 4, BitCount = 12, Signed = true },
            word with { Id = "fault", FirstBit = 16, BitCount = 1 },
            word,
        ];
        double[] values = new double[4];
        Assert.Null(new TextLine(new TextFormat { FieldCount = 1 }, points).Take(Encoding.ASCII.GetBytes(line), values, new SignalQuality[4]));
        Assert.Equal([hot, cold, fault], values[..3]);
        Assert.Equal(values[3], Convert.ToUInt32(line.Replace("0x", "", StringComparison.Ordinal), number == TextNumber.Binary ? 2 : 16));
    }

    [Fact]
    public void What_is_written_comes_back() => Gen.Double[-1e9, 1e9].Array[3].Sample(numbers =>
        Values(Csv, string.Join(',', numbers.Select(n => n.ToString("R", System.Globalization.CultureInfo.InvariantCulture))), "0", "1", "2").SequenceEqual(numbers));

    [Fact]
    public void Bytes_are_shown_so_that_people_can_read_them() =>
        Assert.Equal("12.\\xFF\\x00a", TextDevice.Shown([(byte)'1', (byte)'2', (byte)'.', 0xFF, 0, (byte)'a']));

    private static TextLine Line(TextFormat format, params string[] fields) =>
        new(format, [.. fields.Select(f => new TextPoint { Id = "p" + f, Field = f })]);

    private static string? Fault(TextFormat format, string line, params string[] fields) =>
        Line(format, fields).Take(Encoding.ASCII.GetBytes(line), new double[fields.Length], new SignalQuality[fields.Length]);

    private static double[] Values(TextFormat format, string line, params string[] fields)
    {
        double[] values = new double[fields.Length];
        Assert.Null(Line(format, fields).Take(Encoding.ASCII.GetBytes(line), values, new SignalQuality[fields.Length]));
        return values;
    }
}
