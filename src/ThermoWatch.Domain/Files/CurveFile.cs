using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>One column of a curve file.</summary>
/// <param name="Name">As in the header.</param>
/// <param name="Role">What it measures.</param>
/// <param name="Place">Where on the product; joint unless the header says otherwise.</param>
/// <param name="Unit">Unit of <paramref name="Values"/>: degrees Celsius or millibar, whatever the file used.</param>
/// <param name="Values">One value a row; NaN where the field is empty.</param>
public sealed record CurveColumn(string Name, ChannelRole Role, Place Place, MeasuredUnit Unit, IReadOnlyList<double> Values);

/// <summary>Recorded curves, all of them at hand.</summary>
/// <param name="Ticks">Time of each row, 100 ns ticks: from zero for <c>time_s</c>, UTC for <c>time</c>. Never falling.</param>
/// <param name="IsUtc">Whether the times are UTC.</param>
/// <param name="Columns">The curves, in the order of the header.</param>
public sealed record CurveFile(IReadOnlyList<long> Ticks, bool IsUtc, ImmutableArray<CurveColumn> Columns) : ICurves
{
    /// <summary>Most rows that space is taken for before they have been seen.</summary>
    private const int MostRowsAtOnce = 20_000_000;

    /// <inheritdoc/>
    public ImmutableArray<CurveHead> Heads => [.. Columns.Select(c => new CurveHead(c.Name, c.Role, c.Place, c.Unit))];

    /// <inheritdoc/>
    public CurveSurvey Survey => CurveSurvey.Of(this);

    /// <summary>Reads a curve file (CSV, UTF-8, RFC 4180).</summary>
    /// <param name="utf8">The file; a byte order mark is passed over.</param>
    public static CurveFileParse Parse(ReadOnlySpan<byte> utf8)
    {
        var rows = new Collector(Math.Min(utf8.Count((byte)'\n') + 1, MostRowsAtOnce));
        var reader = new CurveTextReader(rows);
        return reader.ReadAll(utf8) ? new(rows.ToFile(reader.IsUtc, reader.Heads), null) : new(null, reader.Fault);
    }

    /// <inheritdoc/>
    public void Read(ICurveRows rows)
    {
        ArgumentNullException.ThrowIfNull(rows);
        rows.Begin(IsUtc, Heads);
        var row = new double[Columns.Length];
        for (int i = 0; i < Ticks.Count; i++)
        {
            for (int c = 0; c < row.Length; c++)
            {
                row[c] = Columns[c].Values[i];
            }

            rows.Row(Ticks[i], row);
        }
    }

    private sealed class Collector(int usualRows) : ICurveRows
    {
        private readonly List<long> _ticks = new(usualRows);
        private List<double>[] _columns = [];

        // A list that grows to millions leaves as much again behind it: so there is room from the start.
        public void Begin(bool isUtc, ImmutableArray<CurveHead> heads) => _columns = [.. heads.Select(_ => new List<double>(usualRows))];

        public void Row(long ticks, ReadOnlySpan<double> values)
        {
            _ticks.Add(ticks);
            for (int c = 0; c < values.Length; c++)
            {
                _columns[c].Add(values[c]);
            }
        }

        public CurveFile ToFile(bool isUtc, ImmutableArray<CurveHead> heads) =>
            new(_ticks, isUtc, [.. heads.Select((h, i) => new CurveColumn(h.Name, h.Role, h.Place, h.Unit, _columns[i]))]);
    }
}

/// <summary>Why a curve file cannot be read.</summary>
/// <param name="Line">Line, from 1.</param>
/// <param name="Column">Field in the line, from 1; 0 for the line as a whole.</param>
/// <param name="Problem">What stands there, and what was expected.</param>
/// <param name="LikelyCause">What usually makes it, and what to do.</param>
public sealed record CurveFault(int Line, int Column, string Problem, string LikelyCause)
{
    /// <summary>All in one line.</summary>
    public override string ToString() => Column > 0
        ? $"line {Line}, column {Column}: {Problem} {LikelyCause}"
        : $"line {Line}: {Problem} {LikelyCause}";
}

/// <summary>What a curve file says, or why it cannot be read.</summary>
/// <param name="File">The curves; null if there is a fault.</param>
/// <param name="Fault">The first fault; null if there is none.</param>
public sealed record CurveFileParse(CurveFile? File, CurveFault? Fault);
