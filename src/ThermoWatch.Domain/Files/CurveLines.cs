using System.Buffers.Text;
using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>Understands the lines of a curve file, and stops at the first fault.</summary>
/// <param name="rows">Who takes the rows.</param>
internal sealed class CurveLines(ICurveRows rows)
{
    /// <summary>Longest time that a file may name, s: three hundred years.</summary>
    private const double MostSeconds = 1e10;

    /// <summary>Longest record, ticks: a year. The engine lives through every second of it.</summary>
    private const long LongestRecord = 366L * 86_400 * Timestamp.TicksPerSecond;

    private readonly List<CurveHeader> _headers = [];
    private double[] _row = [];
    private long _rows;
    private long _firstTicks;
    private long _lastTicks;

    /// <summary>The columns beside the time.</summary>
    public IReadOnlyList<CurveHeader> Headers => _headers;

    /// <summary>Whether times are UTC.</summary>
    public bool IsUtc { get; private set; }

    /// <summary>Line that comes next, from 1.</summary>
    public int Line { get; private set; } = 1;

    /// <summary>The first fault; null as long as there is none.</summary>
    public CurveFault? Fault { get; private set; }

    /// <summary>What is wrong if the file ends here; null if nothing is.</summary>
    public CurveFault? AtEnd() => Fault ?? (_rows > 0 ? null
        : new CurveFault(Line, 0, "There is no row after the header.", "The recording is empty, or was cut."));

    /// <summary>Reads the header at the front of a text.</summary>
    /// <param name="text">The text.</param>
    /// <param name="whole">Whether nothing comes after it.</param>
    /// <returns>How many bytes it takes; -1 if it goes on behind them, or there is a fault.</returns>
    public int ReadHeader(ReadOnlySpan<byte> text, bool whole)
    {
        _headers.Clear();
        var csv = new CsvFields(text, 1);
        bool read = ReadHeader(ref csv);
        if (!whole && csv.Position >= text.Length)
        {
            Fault = null; // what seems to be wrong may be put right by what follows
            return -1;
        }

        (Line, _row) = (csv.Line, new double[_headers.Count]);
        return read ? csv.Position : -1;
    }

    private bool ReadHeader(ref CsvFields csv)
    {
        csv.SkipEmptyLines();
        if (csv.AtEnd)
        {
            return Refuse(1, 0, "The file is empty.", "Expected a header such as \"time_s,tc1 [degC]\".");
        }

        if (!csv.Next(out ReadOnlySpan<byte> first))
        {
            return FaultHere(ref csv, "The header has a quote that is not closed.", "Close it, or delete it.");
        }

        string time = Encoding.UTF8.GetString(first).Trim();
        if (time is not ("time_s" or "time"))
        {
            return FaultHere(ref csv, $"The first column is \"{Shorten(time)}\".", time.Contains(';', StringComparison.Ordinal)
                ? "Fields are separated by semicolons: separate them by commas, with decimal points."
                : "Name it \"time_s\" (seconds) or \"time\" (RFC 3339).");
        }

        IsUtc = time == "time";
        var names = new HashSet<string>();
        while (!csv.EndsLine)
        {
            if (!csv.Next(out ReadOnlySpan<byte> field))
            {
                return FaultHere(ref csv, "The header has a quote that is not closed.", "Close it, or delete it.");
            }

            (CurveHeader? header, string problem, string cause) = CurveHeader.Read(field);
            if (header is null)
            {
                return FaultHere(ref csv, problem, cause);
            }

            if (!names.Add(header.Name))
            {
                return FaultHere(ref csv, $"The name \"{header.Name}\" stands twice.", "Give each curve a name of its own.");
            }

            if (header.Role == ChannelRole.Pressure && _headers.Exists(c => c.Role == ChannelRole.Pressure))
            {
                return FaultHere(ref csv, "There is a second chamber pressure.", "Give one of them another role, such as \"barometer\" or \"auxiliary\".");
            }

            _headers.Add(header);
        }

        csv.EndOfLine();
        return _headers.Count > 0 || Refuse(1, 0, "There is no curve beside the time.", "Add a column such as \"tc1 [degC]\".");
    }

    /// <summary>Reads whole lines after the header; false if there is a fault.</summary>
    public bool ReadRows(ReadOnlySpan<byte> text)
    {
        // No number holds a line break, so a quote that is not closed is seen on its line, and not at the file's end.
        var csv = new CsvFields(text, Line) { MayBreak = false };
        for (csv.SkipEmptyLines(); !csv.AtEnd; csv.SkipEmptyLines())
        {
            if (!ReadRow(ref csv))
            {
                return false;
            }

            _rows++;
            rows.Row(_lastTicks, _row);
            csv.EndOfLine();
        }

        Line = csv.Line;
        return true;
    }

    private bool ReadRow(ref CsvFields csv)
    {
        int column = -1;
        do
        {
            if (!csv.Next(out ReadOnlySpan<byte> field))
            {
                return FaultHere(ref csv, "A quote is not closed, or text follows it.", "Delete the quotes around numbers.");
            }

            field = field.Trim(" \t"u8);
            if (column >= _headers.Count)
            {
                return FaultHere(ref csv, $"The row has more fields than the header ({_headers.Count + 1}).", "Decimal commas instead of points, or a comma at the end of the line.");
            }

            if (!(column < 0 ? ReadTime(ref csv, field) : ReadValue(ref csv, field, column)))
            {
                return false;
            }

            column++;
        }
        while (!csv.EndsLine);

        return column == _headers.Count
            || FaultHere(ref csv, $"The row has {column + 1} fields, the header {_headers.Count + 1}.", "The line was cut, or its fields are separated otherwise.");
    }

    private bool ReadTime(ref CsvFields csv, ReadOnlySpan<byte> field)
    {
        long ticks;
        if (IsUtc)
        {
            if (!TryUtc(field, out ticks))
            {
                return FaultHere(ref csv, $"\"{Text(field)}\" is not an RFC 3339 time.", "Write it as 2026-03-02T06:00:00.5Z, with Z or an offset.");
            }
        }
        else
        {
            if (!TryNumber(field, out double seconds) || Math.Abs(seconds) > MostSeconds)
            {
                return FaultHere(ref csv, $"\"{Text(field)}\" is not a time in seconds.", NumberCause(field));
            }

            ticks = (long)Math.Round(seconds * Timestamp.TicksPerSecond);
        }

        if (_rows > 0 && ticks < _lastTicks)
        {
            return FaultHere(ref csv, $"The time {Text(field)} lies before that of the row above.", "Rows out of order, two recordings in one file, or a clock that was set back.");
        }

        if (_rows > 0 && ticks - _firstTicks > LongestRecord)
        {
            return FaultHere(ref csv, $"The time {Text(field)} lies more than a year after the first.", "Milliseconds in a column of seconds, or two recordings in one file.");
        }

        _firstTicks = _rows > 0 ? _firstTicks : ticks;
        _lastTicks = ticks;
        return true;
    }

    private bool ReadValue(ref CsvFields csv, ReadOnlySpan<byte> field, int column)
    {
        CurveHeader header = _headers[column];
        if (field.IsEmpty)
        {
            _row[column] = double.NaN;
            return true;
        }

        if (!TryNumber(field, out double value))
        {
            return FaultHere(ref csv, $"\"{Text(field)}\" is not a number.", NumberCause(field));
        }

        value = header.IsPressure ? FileUnits.ToMillibar(value, header.FileUnit) : FileUnits.ToCelsius(value, header.FileUnit);
        _row[column] = value;
        return FileUnits.IsPossible(value, header.IsPressure)
            || FaultHere(ref csv, $"{Text(field)} {header.FileUnit} is no {(header.IsPressure ? "pressure" : "temperature")} that can be.",
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

    private bool FaultHere(ref CsvFields csv, string problem, string cause) => Refuse(csv.Line, csv.Column, problem, cause);

    private bool Refuse(int line, int column, string problem, string cause)
    {
        problem = OneLine(problem);
        Fault = new CurveFault(line, column, problem.Length <= 200 ? problem : problem[..200] + "…", cause);
        return false;
    }
}
