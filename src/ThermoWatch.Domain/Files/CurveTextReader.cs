using System.Collections.Immutable;

namespace ThermoWatch.Domain.Files;

/// <summary>Reads a curve file (CSV, UTF-8, RFC 4180) from bytes as they come, row by row, and stops at the first fault.</summary>
/// <param name="rows">Who takes the rows.</param>
/// <remarks>However long the file: no more than its header and a line is held back.</remarks>
public sealed class CurveTextReader(ICurveRows rows)
{
    /// <summary>A header, or a row, longer than this is none, bytes.</summary>
    private const int LongestLine = 1 << 24;

    private static readonly CurveFault s_utf16 = new(1, 0, "The file is UTF-16.", "Save it as UTF-8.");
    private static readonly CurveFault s_zeros =
        new(1, 0, "The file is not text: it holds zero bytes.", "UTF-16, or a spreadsheet's own format: save it as CSV in UTF-8.");

    private readonly CurveLines _lines = new(rows);
    private byte[] _kept = [];
    private int _keptLength;
    private bool _begun;

    /// <summary>What the header says; empty until it has been read.</summary>
    public ImmutableArray<CurveHead> Heads { get; private set; } = [];

    /// <summary>Whether times are UTC; else they count from the file's zero.</summary>
    public bool IsUtc => _lines.IsUtc;

    /// <summary>The first fault; null as long as there is none.</summary>
    public CurveFault? Fault { get; private set; }

    /// <summary>Takes the next bytes of the file.</summary>
    /// <returns>False if there is a fault: nothing more need be read.</returns>
    public bool Push(ReadOnlySpan<byte> bytes)
    {
        if (_keptLength > 0)
        {
            Keep(bytes);
            bytes = _kept.AsSpan(0, _keptLength);
        }

        int whole = WholeLines(bytes);
        int read = whole > 0 && Fault is null ? Read(bytes[..whole], last: false) : 0;
        if (bytes.Length - read > LongestLine)
        {
            Fault ??= new CurveFault(_lines.Line, 0, "The line does not end.", "This is no table, or a quote is not closed.");
        }

        ReadOnlySpan<byte> rest = bytes[read..];
        _keptLength = _keptLength > 0 ? MoveDown(rest.Length) : Keep(rest);
        return Fault is null;
    }

    /// <summary>Takes it that the file ends here.</summary>
    /// <returns>False if there is a fault.</returns>
    public bool End()
    {
        if (Fault is null)
        {
            Read(_kept.AsSpan(0, _keptLength), last: true);
            _keptLength = 0;
            Fault ??= _lines.AtEnd();
        }

        return Fault is null;
    }

    /// <summary>Reads a whole file at once, without a copy of it.</summary>
    internal bool ReadAll(ReadOnlySpan<byte> text)
    {
        Read(text, last: true);
        Fault ??= _lines.AtEnd();
        return Fault is null;
    }

    /// <summary>Length of the bytes that hold whole lines only.</summary>
    private static int WholeLines(ReadOnlySpan<byte> bytes)
    {
        // A carriage return at the very end may belong to a line feed that is still to come.
        int last = bytes.Length > 0 && bytes[^1] == '\n' ? bytes.Length - 1 : bytes[..Math.Max(0, bytes.Length - 1)].LastIndexOfAny((byte)'\n', (byte)'\r');
        return last < 0 ? 0 : last + 1 < bytes.Length && bytes[last] == '\r' && bytes[last + 1] == '\n' ? last + 2 : last + 1;
    }

    /// <summary>Reads whole lines; how many bytes were used.</summary>
    private int Read(ReadOnlySpan<byte> text, bool last)
    {
        int used = 0;
        if (!_begun)
        {
            if (text.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || text.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]))
            {
                Fault = s_utf16;
                return 0;
            }

            if (text[..Math.Min(text.Length, 64)].Contains((byte)0))
            {
                Fault = s_zeros;
                return 0;
            }

            used = text.StartsWith("\uFEFF"u8) ? 3 : 0;
            int header = _lines.ReadHeader(text[used..], last);
            if (header < 0)
            {
                Fault = _lines.Fault;
                return 0; // without a fault the header goes on in bytes that are still to come
            }

            (_begun, Heads, used) = (true, [.. _lines.Headers.Select(h => h.ToHead())], used + header);
            rows.Begin(IsUtc, Heads);
        }

        if (!_lines.ReadRows(text[used..]))
        {
            Fault = _lines.Fault;
        }

        return text.Length;
    }

    private int Keep(ReadOnlySpan<byte> bytes)
    {
        if (_keptLength + bytes.Length > _kept.Length)
        {
            Array.Resize(ref _kept, Math.Max(2 * _kept.Length, _keptLength + bytes.Length));
        }

        bytes.CopyTo(_kept.AsSpan(_keptLength));
        return _keptLength += bytes.Length;
    }

    private int MoveDown(int length)
    {
        _kept.AsSpan(_keptLength - length, length).CopyTo(_kept);
        return length;
    }
}
