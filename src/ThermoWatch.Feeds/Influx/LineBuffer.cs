using System.Globalization;
using System.Text;

namespace ThermoWatch.Feeds.Influx;

/// <summary>
/// Lines of line protocol as UTF-8, one after another in memory that is used again. A pure writer: no clock, no network.
/// </summary>
/// <remarks>Grammar and escapes: InfluxDB v2 documentation, line protocol; where servers differ, what all of them take.</remarks>
internal sealed class LineBuffer
{
    private const int LongestNumber = 32;
    private byte[] _bytes = new byte[64 << 10];
    private readonly List<int> _ends = [];

    /// <summary>Bytes of all lines, each with its line feed.</summary>
    public ReadOnlyMemory<byte> Bytes => _bytes.AsMemory(0, Length);

    public int Length { get; private set; }

    /// <summary>Number of lines.</summary>
    public int Lines => _ends.Count;

    public void Clear()
    {
        Length = 0;
        _ends.Clear();
    }

    /// <summary>Some of the lines.</summary>
    public ReadOnlyMemory<byte> Part(int first, int count)
    {
        int start = first == 0 ? 0 : _ends[first - 1];
        return _bytes.AsMemory(start, _ends[first + count - 1] - start);
    }

    /// <summary>One line as text, without its line feed.</summary>
    public string Line(int index) => Encoding.UTF8.GetString(Part(index, 1).Span[..^1]);

    /// <summary>Bytes that are right already, such as the beginning of a channel's lines.</summary>
    public void Raw(ReadOnlySpan<byte> bytes)
    {
        bytes.CopyTo(Space(bytes.Length));
        Length += bytes.Length;
    }

    public void Byte(char ascii)
    {
        Space(1)[0] = (byte)ascii;
        Length++;
    }

    /// <summary>A finite number: the shortest text that gives the same bits again.</summary>
    public void Number(double value)
    {
        Span<byte> space = Space(LongestNumber);
        value.TryFormat(space, out int written, default, CultureInfo.InvariantCulture);
        if (Math.Abs(value) is (>= 1e15 or < 1e-4) and not 0)
        {
            // The grammar's exponent is a small e.
            space[..written].Replace((byte)'E', (byte)'e');
        }

        Length += written;
    }

    public void Number(long value)
    {
        value.TryFormat(Space(LongestNumber), out int written, default, CultureInfo.InvariantCulture);
        Length += written;
    }

    public void Number(ulong value)
    {
        value.TryFormat(Space(LongestNumber), out int written, default, CultureInfo.InvariantCulture);
        Length += written;
    }

    /// <summary>Appends a line that was made before.</summary>
    public void Add(string line)
    {
        Raw(Encoding.UTF8.GetBytes(line));
        Byte('\n');
        _ends.Add(Length);
    }

    /// <summary>Ends a line with its time.</summary>
    public void End(long time)
    {
        Byte(' ');
        Number(time);
        Byte('\n');
        _ends.Add(Length);
    }

    /// <summary>Appends a line; or leaves everything as it was and says why it has no spelling.</summary>
    public string? TryAdd(LinePoint point)
    {
        int before = Length;
        string? problem = Problem(point);
        if (problem is null)
        {
            Raw(LineText.Series(point.Measurement, point.Tags));
            for (int i = 0; i < point.Fields.Count; i++)
            {
                Byte(i == 0 ? ' ' : ',');
                Raw(LineText.Key(point.Fields[i].Key));
                Byte('=');
                Value(point.Fields[i].Value);
            }

            End(point.Time);
        }
        else
        {
            Length = before;
        }

        return problem;
    }

    private void Value(LineValue value)
    {
        switch (value.Type)
        {
            case LineValueType.Float:
                Number(value.Number);
                break;
            case LineValueType.Integer:
                Number(unchecked((long)value.Bits));
                Byte('i');
                break;
            case LineValueType.Unsigned:
                Number(value.Bits);
                Byte('u');
                break;
            case LineValueType.Boolean:
                Raw(value.Bits == 1 ? "true"u8 : "false"u8);
                break;
            default:
                Raw(LineText.Quoted(value.Words));
                break;
        }
    }

    private static string? Problem(LinePoint point)
    {
        if (point.Fields.Count == 0)
        {
            return "A line needs at least one field.";
        }

        if ((LineText.NameProblem(point.Measurement) ?? point.Tags.Select(t => LineText.NameProblem(t.Key) ?? (t.Value.Length == 0 ? null : LineText.NameProblem(t.Value)))
            .Concat(point.Fields.Select(f => LineText.NameProblem(f.Key))).FirstOrDefault(p => p is not null)) is { } name)
        {
            return name;
        }

        return point.Fields.Any(f => f.Value is { Type: LineValueType.Float, Number: var n } && !double.IsFinite(n)) ? "Not a number, and infinity, have no spelling."
            : point.Fields.Any(f => f.Value is { Type: LineValueType.Text, Words: var words } && words.AsSpan().ContainsAny('\r', '\n')) ? "Text must not have line breaks."
            : null;
    }

    private Span<byte> Space(int count)
    {
        if (_bytes.Length - Length < count)
        {
            Array.Resize(ref _bytes, Math.Max(_bytes.Length * 2, Length + count));
        }

        return _bytes.AsSpan(Length);
    }
}
