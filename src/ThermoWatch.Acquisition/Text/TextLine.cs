using System.Globalization;
using System.Text;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Text;

/// <summary>Takes the values out of one line. No port, no clock: a line is taken whole or not at all.</summary>
internal sealed class TextLine
{
    /// <summary>Longest line; what goes on longer is no line of a converter.</summary>
    public const int MaxLength = 1024;

    /// <summary>SCPI writes 9.9E37 for infinity and 9.91E37 for "not a number" (from memory, SCPI-99 volume 1, 7.2.1).</summary>
    private const double ScpiNoNumber = 9.9e37;

    private readonly TextFormat _format;
    private readonly IReadOnlyList<TextPoint> _points;
    private readonly int[] _positions;
    private readonly byte[][] _names;
    private readonly Range[] _fields;

    public TextLine(TextFormat format, IReadOnlyList<TextPoint> points)
    {
        _format = format;
        _points = points;
        bool byName = format.Layout == TextLayout.KeyValue;
        _positions = [.. points.Select(p => byName ? -1 : int.Parse(p.Field, CultureInfo.InvariantCulture))];
        _names = [.. points.Select(p => Encoding.UTF8.GetBytes(p.Field))];
        _fields = new Range[byName ? 256 : format.FieldCount + 1];
    }

    /// <summary>Fills one value and quality a point. Returns null, or what is wrong with the line; then nothing in the arrays counts.</summary>
    public string? Take(ReadOnlySpan<byte> line, Span<double> values, Span<SignalQuality> qualities)
    {
        if (line.Length > MaxLength) return "it is too long";
        if (!Check(ref line)) return "its check is wrong";
        int count = Divide(line);
        if (_format.Layout == TextLayout.Fields && count != _format.FieldCount) return $"it has {(count > _format.FieldCount ? "more" : count)} fields instead of {_format.FieldCount}";
        for (int i = 0; i < _points.Count; i++)
        {
            if (!Find(line, i, count, out ReadOnlySpan<byte> field)) return $"field '{_points[i].Field}' is missing, or there twice";
            if (!Number(field, _points[i], out values[i], out qualities[i])) return $"field '{_points[i].Field}' is not a number";
        }

        return null;
    }

    private bool Check(ref ReadOnlySpan<byte> line)
    {
        if (_format.Checksum == TextChecksum.None) return true;
        int mark = line.LastIndexOf((byte)_format.ChecksumMark);
        if (mark < 0) return false;
        ReadOnlySpan<byte> body = line[..mark], digits = line[(mark + 1)..].Trim((byte)' ');
        int length = _format.Checksum == TextChecksum.Crc16 ? 4 : 2;
        if (digits.Length != length || !ushort.TryParse(digits, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out ushort sent)) return false;
        line = body;
        return sent == _format.Checksum switch
        {
            TextChecksum.Xor => Xor(body),
            TextChecksum.Lrc => Lrc(body),
            _ => Crc16.Of(body),
        };
    }

    /// <summary>Finds the fields; more than there is room for count as one more.</summary>
    private int Divide(ReadOnlySpan<byte> line)
    {
        line = line.TrimEnd(" \t"u8);
        int count = 0, start = 0;
        bool bySpace = _format.Separator == ' ';
        for (int i = 0; i <= line.Length; i++)
        {
            bool ends = i == line.Length || (bySpace ? line[i] is (byte)' ' or (byte)'\t' : line[i] == (byte)_format.Separator);
            if (!ends) continue;
            if (!bySpace || i > start)
            {
                if (count == _fields.Length) return count;
                _fields[count++] = start..i;
            }

            start = i + 1;
        }

        return count;
    }

    private bool Find(ReadOnlySpan<byte> line, int point, int count, out ReadOnlySpan<byte> field)
    {
        field = default;
        if (_positions[point] >= 0)
        {
            field = line[_fields[_positions[point]]].Trim(" \t"u8);
            return true;
        }

        bool found = false;
        for (int i = 0; i < count; i++)
        {
            ReadOnlySpan<byte> pair = line[_fields[i]];
            int equals = pair.IndexOf((byte)'=');
            if (equals < 0 || !pair[..equals].Trim(" \t"u8).SequenceEqual(_names[point])) continue;
            if (found) return false; // two lines run into one
            found = true;
            field = pair[(equals + 1)..].Trim(" \t"u8);
        }

        return found;
    }

    private bool Number(ReadOnlySpan<byte> field, TextPoint point, out double value, out SignalQuality quality)
    {
        quality = SignalQuality.Good;
        if (point.Number != TextNumber.Decimal)
        {
            bool word = Word(field, point.Number, out ulong bits);
            value = word ? Extract(bits, point) : double.NaN;
            if (word) return true;
        }
        else if (double.TryParse(field, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out value)
            && double.IsFinite(value))
        {
            if (Math.Abs(value) < ScpiNoNumber) return true;
            (value, quality) = (double.NaN, SignalQuality.Bad(QualityReason.NotANumber));
            return true;
        }

        value = double.NaN;
        foreach ((string text, QualityReason reason) in _format.Words)
        {
            if (!Ascii.EqualsIgnoreCase(field, text)) continue;
            quality = SignalQuality.Bad(reason);
            return true;
        }

        return false;
    }

    private static bool Word(ReadOnlySpan<byte> field, TextNumber number, out ulong bits)
    {
        bool hex = number == TextNumber.Hexadecimal;
        if (field.Length > 2 && field[0] == (byte)'0' && (field[1] | 0x20) == (hex ? 'x' : 'b')) field = field[2..];
        bits = 0;
        if (field.IsEmpty || field.Length > (hex ? 13 : 52)) return false;
        return ulong.TryParse(field, hex ? NumberStyles.AllowHexSpecifier : NumberStyles.AllowBinarySpecifier, CultureInfo.InvariantCulture, out bits);
    }

    private static double Extract(ulong word, TextPoint point)
    {
        ulong value = word >> point.FirstBit;
        if (point.BitCount == 0) return value;
        value &= (1UL << point.BitCount) - 1;
        bool negative = point.Signed && (value >> (point.BitCount - 1)) == 1;
        return negative ? (double)value - (1UL << point.BitCount) : value;
    }

    private static byte Xor(ReadOnlySpan<byte> bytes)
    {
        byte result = 0;
        foreach (byte b in bytes) result ^= b;
        return result;
    }

    private static byte Lrc(ReadOnlySpan<byte> bytes)
    {
        int sum = 0;
        foreach (byte b in bytes) sum += b;
        return (byte)(-sum & 0xFF);
    }
}
