using System.Text;

namespace ThermoWatch.Feeds.Influx;

/// <summary>Lines of line protocol, one after another.</summary>
/// <remarks>Grammar and escapes: InfluxDB v2 documentation, line protocol; where servers differ, what all of them take.</remarks>
internal sealed class LineBuffer : Utf8Buffer
{
    private readonly List<int> _ends = [];

    /// <summary>Number of lines.</summary>
    public int Lines => _ends.Count;

    public override void Clear()
    {
        base.Clear();
        _ends.Clear();
    }

    /// <summary>Some of the lines.</summary>
    public ReadOnlyMemory<byte> Part(int first, int count)
    {
        int start = first == 0 ? 0 : _ends[first - 1];
        return Slice(start, _ends[first + count - 1] - start);
    }

    /// <summary>One line as text, without its line feed.</summary>
    public string Line(int index) => Encoding.UTF8.GetString(Part(index, 1).Span[..^1]);

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
}
