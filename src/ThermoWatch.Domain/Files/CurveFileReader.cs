using System.Buffers.Text;
using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>Reads curve files, from bytes to columns, and stops at the first fault.</summary>
internal ref struct CurveFileReader
{
    /// <summary>Longest time that a file may name, s: three hundred years.</summary>
    private const double MostSeconds = 1e10;

    /// <summary>Longest record, ticks: a year. The engine lives through every second of it.</summary>
    private const long LongestRecord = 366L * 86_400 * Timestamp.TicksPerSecond;

    /// <summary>Most rows that space is taken for before they have been seen.</summary>
    private const int MostRowsAtOnce = 20_000_000;

    private readonly List<long> _ticks = [];
    private readonly int _lines;
    private readonly List<(CurveHeader Header, List<double> Values)> _columns = [];
    private CsvFields _csv;
    private CurveFault? _fault;
    private bool _utc;

    private CurveFileReader(ReadOnlySpan<byte> text)
    {
        _csv = new CsvFields(text);
        _lines = Math.Min(text.Count((byte)'\n') + 1, MostRowsAtOnce);
    }

    public static CurveFileParse Parse(ReadOnlySpan<byte> utf8)
    {
        if (utf8.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || utf8.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]))
        {
            return new(null, new CurveFault(1, 0, "The file is UTF-16.", "Save it as UTF-8."));
        }

        if (utf8[..Math.Min(utf8.Length, 64)].Contains((byte)0))
        {
            return new(null, new CurveFault(1, 0, "The file is not text: it holds zero bytes.", "UTF-16, or a spreadsheet's own format: save it as CSV in UTF-8."));
        }

        var reader = new CurveFileReader(utf8.StartsWith("\uFEFF"u8) ? utf8[3..] : utf8);
        if (!reader.ReadHeader() || !reader.ReadRows())
        {
            return new(null, reader._fault);
        }

        ImmutableArray<CurveColumn> columns =
        [
            .. reader._columns.Select(c => new CurveColumn(
                c.Header.Name, c.Header.Role, c.Header.Place, c.Header.IsPressure ? MeasuredUnit.Millibar : MeasuredUnit.DegreeCelsius, c.Values)),
        ];
        return new(new CurveFile(reader._ticks, reader._utc, columns), null);
    }

    private bool ReadHeader()
    {
        _csv.SkipEmptyLines();
        if (_csv.AtEnd)
        {
            return Fault(1, 0, "The file is empty.", "Expected a header such as \"time_s,tc1 [degC]\".");
        }

        if (!_csv.Next(out ReadOnlySpan<byte> first))
        {
            return FaultHere("The header has a quote that is not closed.", "Close it, or delete it.");
        }

        string time = Encoding.UTF8.GetString(first).Trim();
        if (time is not ("time_s" or "time"))
        {
            return FaultHere($"The first column is \"{Shorten(time)}\".", time.Contains(';', StringComparison.Ordinal)
                ? "Fields are separated by semicolons: separate them by commas, with decimal points."
                : "Name it \"time_s\" (seconds) or \"time\" (RFC 3339).");
        }

        _utc = time == "time";
        var names = new HashSet<string>();
        while (!_csv.EndsLine)
        {
            if (!_csv.Next(out ReadOnlySpan<byte> field))
            {
                return FaultHere("The header has a quote that is not closed.", "Close it, or delete it.");
            }

            (CurveHeader? header, string problem, string cause) = CurveHeader.Read(field);
            if (header is null)
            {
                return FaultHere(problem, cause);
            }

            if (!names.Add(header.Name))
            {
                return FaultHere($"The name \"{header.Name}\" stands twice.", "Give each curve a name of its own.");
            }

            if (header.Role == ChannelRole.Pressure && _columns.Any(c => c.Header.Role == ChannelRole.Pressure))
            {
                return FaultHere("There is a second chamber pressure.", "Give one of them another role, such as \"barometer\" or \"auxiliary\".");
            }

            _columns.Add((header, []));
        }

        _csv.EndOfLine();
        return _columns.Count > 0 || Fault(1, 0, "There is no curve beside the time.", "Add a column such as \"tc1 [degC]\".");
    }

    private readonly void TakeSpace()
    {
        // A list that grows to millions leaves as much again behind it.
        _ticks.EnsureCapacity(_lines);
        foreach ((_, List<double> values) in _columns)
        {
            values.EnsureCapacity(_lines);
        }
    }

    private bool ReadRows()
    {
        TakeSpace();
        for (_csv.SkipEmptyLines(); !_csv.AtEnd; _csv.SkipEmptyLines())
        {
            if (!ReadRow())
            {
                return false;
            }

            _csv.EndOfLine();
        }

        return _ticks.Count > 0 || Fault(_csv.Line, 0, "There is no row after the header.", "The recording is empty, or was cut.");
    }

    private bool ReadRow()
    {
        int column = -1;
        do
        {
            if (!_csv.Next(out ReadOnlySpan<byte> field))
            {
                return FaultHere("A quote is not closed, or text follows it.", "Delete the quotes around numbers.");
            }

            field = field.Trim(" \t"u8);
            if (column >= _columns.Count)
            {
                return FaultHere($"The row has more fields than the header ({_columns.Count + 1}).", "Decimal commas instead of points, or a comma at the end of the line.");
            }

            if (!(column < 0 ? ReadTime(field) : ReadValue(field, column)))
            {
                return false;
            }

            column++;
        }
        while (!_csv.EndsLine);

        return column == _columns.Count
            || FaultHere($"The row has {column + 1} fields, the header {_columns.Count + 1}.", "The line was cut, or its fields are separated otherwise.");
    }

    private bool ReadTime(ReadOnlySpan<byte> field)
    {
        long ticks;
        if (_utc)
        {
            if (!TryUtc(field, out ticks))
            {
                return FaultHere($"\"{Text(field)}\" is not an RFC 3339 time.", "Write it as 2026-03-02T06:00:00.5Z, with Z or an offset.");
            }
        }
        else
        {
            if (!TryNumber(field, out double seconds) || Math.Abs(seconds) > MostSeconds)
            {
                return FaultHere($"\"{Text(field)}\" is not a time in seconds.", NumberCause(field));
            }

            ticks = (long)Math.Round(seconds * Timestamp.TicksPerSecond);
        }

        if (_ticks.Count > 0 && ticks < _ticks[^1])
        {
            return FaultHere($"The time {Text(field)} lies before that of the row above.", "Rows out of order, two recordings in one file, or a clock that was set back.");
        }

        if (_ticks.Count > 0 && ticks - _ticks[0] > LongestRecord)
        {
            return FaultHere($"The time {Text(field)} lies more than a year after the first.", "Milliseconds in a column of seconds, or two recordings in one file.");
        }

        _ticks.Add(ticks);
        return true;
    }

    private bool ReadValue(ReadOnlySpan<byte> field, int column)
    {
        (CurveHeader header, List<double> values) = _columns[column];
        if (field.IsEmpty)
        {
            values.Add(double.NaN);
            return true;
        }

        if (!TryNumber(field, out double value))
        {
            return FaultHere($"\"{Text(field)}\" is not a number.", NumberCause(field));
        }

        value = header.IsPressure ? FileUnits.ToMillibar(value, header.FileUnit) : FileUnits.ToCelsius(value, header.FileUnit);
        values.Add(value);
        return FileUnits.IsPossible(value, header.IsPressure)
            || FaultHere($"{Text(field)} {header.FileUnit} is no {(header.IsPressure ? "pressure" : "temperature")} that can be.",
                "A mark for a missing reading (leave the field empty), another unit, or a decimal point that was lost.");
    }

    private static bool TryNumber(ReadOnlySpan<byte> field, out double value) =>
        Utf8Parser.TryParse(field, out value, out int used) && used == field.Length && double.IsFinite(value);

    private static bool TryUtc(ReadOnlySpan<byte> field, out long ticks)
    {
        ticks = 0;
        if (field.Length is < 20 or > 64)
        {
            return false;
        }

        // Seven decimals are ticks; more are rounded to one.
        string text = Encoding.UTF8.GetString(field).ToUpperInvariant();
        int point = text.IndexOf('.', StringComparison.Ordinal);
        int end = point < 0 ? 0 : point + 1;
        while (point >= 0 && end < text.Length && char.IsAsciiDigit(text[end]))
        {
            end++;
        }

        long up = point >= 0 && end - point > 8 && text[point + 8] >= '5' ? 1 : 0;
        text = point >= 0 && end - point > 8 ? text[..(point + 8)] + text[end..] : text;
        if (!DateTimeOffset.TryParseExact(
            text, ["yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK", "yyyy-MM-dd'T'HH:mm:ssK"], CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTimeOffset moment)
            || !(text.EndsWith('Z') || text[19..].AsSpan().IndexOfAny('+', '-') >= 0))
        {
            return false;
        }

        ticks = moment.UtcTicks + up;
        return true;
    }

    private static string NumberCause(ReadOnlySpan<byte> field)
    {
        if (field.IsEmpty)
        {
            return "Every row needs its time.";
        }

        return field.IndexOf((byte)',') >= 0 ? "Decimal comma: write a decimal point."
            : field.IndexOf((byte)';') >= 0 ? "Fields are separated by semicolons: separate them by commas, with decimal points."
            : "Leave the field empty where nothing was measured; write numbers with a decimal point.";
    }

    private static string Text(ReadOnlySpan<byte> field) => Shorten(Encoding.UTF8.GetString(field));

    private static string Shorten(string text)
    {
        string clean = OneLine(text);
        return clean.Length <= 40 ? clean : clean[..40] + "…";
    }

    private static string OneLine(string text) => new([.. text.Select(c => char.IsControl(c) ? ' ' : c)]);

    private bool FaultHere(string problem, string cause) => Fault(_csv.Line, _csv.Column, problem, cause);

    private bool Fault(int line, int column, string problem, string cause)
    {
        problem = OneLine(problem);
        _fault = new CurveFault(line, column, problem.Length <= 200 ? problem : problem[..200] + "…", cause);
        return false;
    }
}
