namespace ThermoWatch.Domain.Files;

/// <summary>Splits CSV into fields (RFC 4180). No copy is made unless a field holds a doubled quote.</summary>
/// <param name="text">The text, or a stretch of it that begins with a line.</param>
/// <param name="line">Line at which it begins, from 1.</param>
internal ref struct CsvFields(ReadOnlySpan<byte> text, int line)
{
    private readonly ReadOnlySpan<byte> _text = text;
    private int _at;

    /// <summary>Line of the field read last, from 1.</summary>
    public int Line { get; private set; } = line;

    /// <summary>Whether a quoted field may hold line breaks; else its quote counts as not closed.</summary>
    public bool MayBreak { get; set; } = true;

    /// <summary>Bytes read so far.</summary>
    public readonly int Position => _at;

    /// <summary>Place of the field read last in its line, from 1; 0 before a line's first.</summary>
    public int Column { get; private set; }

    /// <summary>Whether the field read last is the last of its line.</summary>
    public bool EndsLine { get; private set; } = true;

    /// <summary>Whether the field read last stood in quotes.</summary>
    public bool Quoted { get; private set; }

    /// <summary>Whether all has been read.</summary>
    public readonly bool AtEnd => _at >= _text.Length && EndsLine;

    /// <summary>Passes over lines without a single character.</summary>
    public void SkipEmptyLines()
    {
        while (EndsLine && _at < _text.Length && _text[_at] is (byte)'\r' or (byte)'\n')
        {
            EndOfLine();
        }
    }

    /// <summary>Reads the next field.</summary>
    /// <param name="field">Its text without quotes.</param>
    /// <returns>False if a quote is not closed, or text follows a closing one.</returns>
    public bool Next(out ReadOnlySpan<byte> field)
    {
        Column = EndsLine ? 1 : Column + 1;
        Quoted = _at < _text.Length && _text[_at] == '"';
        bool formed = true;
        if (Quoted)
        {
            formed = QuotedField(out field);
        }
        else
        {
            int length = _text[_at..].IndexOfAny((byte)',', (byte)'\r', (byte)'\n');
            length = length < 0 ? _text.Length - _at : length;
            field = _text.Slice(_at, length);
            _at += length;
        }

        EndsLine = _at >= _text.Length || _text[_at] != ',';
        if (!EndsLine)
        {
            _at++;
        }

        return formed && (!EndsLine || _at >= _text.Length || _text[_at] is (byte)'\r' or (byte)'\n');
    }

    /// <summary>Goes to the next line, after the last field of this one.</summary>
    public void EndOfLine()
    {
        if (_at < _text.Length)
        {
            _at += _text[_at] == '\r' && _at + 1 < _text.Length && _text[_at + 1] == '\n' ? 2 : 1;
            Line++;
        }

        (EndsLine, Column) = (true, 0);
    }

    private bool QuotedField(out ReadOnlySpan<byte> field)
    {
        int start = ++_at;
        bool doubled = false;
        while (_at < _text.Length)
        {
            if (_text[_at] is (byte)'\n' or (byte)'\r' && !MayBreak)
            {
                break;
            }

            Line += _text[_at] == '\n' ? 1 : 0;

            if (_text[_at] != '"')
            {
                _at++;
            }
            else if (_at + 1 < _text.Length && _text[_at + 1] == '"')
            {
                doubled = true;
                _at += 2;
            }
            else
            {
                field = _text[start.._at++];
                field = doubled ? Undouble(field) : field;
                return true;
            }
        }

        field = _text[start..];
        return false;
    }

    private static byte[] Undouble(ReadOnlySpan<byte> field)
    {
        List<byte> plain = [];
        for (int i = 0; i < field.Length; i++)
        {
            plain.Add(field[i]);
            i += field[i] == '"' ? 1 : 0;
        }

        return [.. plain];
    }
}
