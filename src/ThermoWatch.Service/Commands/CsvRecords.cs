using System.Text;

namespace ThermoWatch.Service.Commands;

/// <summary>Reads a CSV file record by record (RFC 4180): the fields, and the record as it stands in the file.</summary>
internal sealed class CsvRecords(TextReader reader)
{
    /// <summary>A quote that is never closed would swallow the rest of the file; no honest field is so long.</summary>
    private const int MostCharacters = 1 << 16;

    private long _linesRead;

    /// <summary>Line on which the record read last begins, from 1.</summary>
    public long Line { get; private set; }

    /// <summary>Reads the next record; false at the end of the file, or when <paramref name="fault"/> says what is wrong with it.</summary>
    /// <param name="fields">Its fields without quotes; the list is reused.</param>
    /// <param name="raw">The record as it stands there, without its line end; line ends inside a quoted field are LF.</param>
    /// <param name="fault">Null, or what is wrong and what to do.</param>
    public bool Read(List<string> fields, out string raw, out string? fault)
    {
        fields.Clear();
        (raw, fault) = ("", null);
        Line = _linesRead + 1;
        if (NextLine() is not { } line)
        {
            return false;
        }

        raw = line;
        int at = 0;
        while (true)
        {
            if (at < raw.Length && raw[at] == '"')
            {
                fault = Quoted(fields, ref raw, ref at);
                if (fault is not null) return false;
            }
            else
            {
                int comma = raw.IndexOf(',', at);
                int end = comma < 0 ? raw.Length : comma;
                fields.Add(raw[at..end]);
                at = end;
            }

            if (at == raw.Length) return true;
            at++; // the comma
        }
    }

    /// <summary>Reads a field in quotes, which may go on over several lines, up to the comma or the end behind it.</summary>
    private string? Quoted(List<string> fields, ref string raw, ref int at)
    {
        StringBuilder field = new();
        at++;
        while (true)
        {
            int quote = raw.IndexOf('"', at);
            if (quote < 0)
            {
                field.Append(raw, at, raw.Length - at).Append('\n');
                at = raw.Length + 1;
                if (raw.Length > MostCharacters || NextLine() is not { } more) return "a quote is not closed; close it, or double a quote that belongs to the text.";
                raw += "\n" + more;
                continue;
            }

            field.Append(raw, at, quote - at);
            at = quote + 1;
            if (at < raw.Length && raw[at] == '"')
            {
                field.Append('"');
                at++;
                continue;
            }

            fields.Add(field.ToString());
            return at == raw.Length || raw[at] == ',' ? null : "text follows a closing quote; put a comma there, or double the quotes that belong to the text.";
        }
    }

    private string? NextLine()
    {
        string? line = reader.ReadLine();
        _linesRead += line is null ? 0 : 1;
        return line;
    }
}
