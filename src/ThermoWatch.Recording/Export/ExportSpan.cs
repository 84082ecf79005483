using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Export;

/// <summary>What is to be exported.</summary>
/// <param name="From">First moment.</param>
/// <param name="To">Last moment.</param>
/// <param name="FirstSequence">Entry at or before the first; zero: found by time.</param>
/// <param name="LastSequence">Entry at or behind the last; zero: found by time.</param>
/// <param name="Carrier">Leaves out product channels of other carriers; null: none is left out.</param>
/// <param name="OnlyCurves">Only temperatures and pressures, as a curve file holds them.</param>
public sealed record ExportSpan(Timestamp From, Timestamp To, long FirstSequence = 0, long LastSequence = 0, string? Carrier = null, bool OnlyCurves = false)
{
    /// <summary>Where thermocouples had come off, each with its end; of one channel they do not overlap.</summary>
    public IReadOnlyList<GapSpan> Detached { get; init; } = [];

    /// <summary>The span of a run; one that goes on ends with the newest entry.</summary>
    public static ExportSpan Of(RunRow run) =>
        new(run.Start, run.End ?? new Timestamp(DateTime.MaxValue.Ticks), run.FirstSequence, run.LastSequence ?? 0, run.Carrier);
}

/// <summary>A column of an export.</summary>
/// <param name="Id">The channel's id.</param>
/// <param name="Name">Its name.</param>
/// <param name="Unit">Unit of its values, as in curve files.</param>
/// <param name="Role">What it measures.</param>
/// <param name="Place">Where on the product it sits.</param>
public sealed record ExportColumn(string Id, string Name, string Unit, ChannelRole Role, Place Place);

/// <summary>One scan of an export. The arrays are used again for the next row.</summary>
/// <param name="Sequence">Number of the journal entry.</param>
/// <param name="Time">When the device was read.</param>
/// <param name="Readings">A slot a column.</param>
/// <param name="Raw">The raw number beside it; NaN where there is none.</param>
/// <param name="IsInScan">Whether the scan carries the column; the slots of others say nothing.</param>
public readonly record struct ExportRow(long Sequence, Timestamp Time, Reading[] Readings, double[] Raw, bool[] IsInScan);

/// <summary>The scans of a span as rows with one column a channel, converted by the wiring and calibration of their time.</summary>
public sealed class ExportRows
{
    /// <summary>Cold junctions and barometers are read from here on, so that the first row has theirs.</summary>
    private static readonly TimeSpan LeadIn = TimeSpan.FromSeconds(60);

    private readonly JournalView _journal;
    private readonly ExportSpan _span;
    private readonly long _first, _last;
    private readonly GapSpan[][] _detached;

    /// <summary>Prepares an export.</summary>
    public ExportRows(JournalView journal, ExportSpan span)
    {
        (_journal, _span) = (journal, span);
        Timestamp lead = new(Math.Max(0, span.From.UtcTicks - LeadIn.Ticks));
        _first = journal.StartOf(lead);
        _last = span.LastSequence > 0 ? span.LastSequence : Math.Min(journal.EndOf(span.To), journal.LastSequence);
        Definitions = journal.DefinitionsOver(_first, _last);
        List<ExportColumn> columns = [];
        foreach (ChannelDefinition channel in Definitions.SelectMany(cell => cell.Channels))
        {
            if (IsWanted(channel) && !columns.Exists(column => column.Id == channel.Id && column.Unit == UnitOf(channel)))
            {
                columns.Add(new ExportColumn(channel.Id, channel.Name, UnitOf(channel), channel.Role, channel.Place));
            }
        }

        Columns = columns;
        _detached = [.. columns.Select(column => span.Detached.Where(gap => gap.ChannelId == column.Id && column.Unit == UnitOf(MeasuredUnit.DegreeCelsius)).OrderBy(gap => gap.Start).ToArray())];
    }

    /// <summary>How the cell was wired over the span, in order.</summary>
    public IReadOnlyList<CellDefinition> Definitions { get; }

    /// <summary>The columns. A channel whose unit was changed has two.</summary>
    public IReadOnlyList<ExportColumn> Columns { get; }

    /// <summary>What could not be read; complete when the rows have been.</summary>
    public List<MissingEntries> Missing { get; } = [];

    /// <summary>The rows in order of recording.</summary>
    /// <remarks>A spike shows only beside its follower, so a row is handed on once no later reading can say more of it. The last reading of a span has no follower.</remarks>
    /// <param name="progress">Told entries done and entries there are.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    public IEnumerable<ExportRow> Read(IProgress<(long Done, long Total)>? progress = null, CancellationToken stop = default)
    {
        CellDefinition? current = null;
        CellConverter? converter = null;
        Reading[] converted = [];
        (int Column, int Channel, int Point, int Device)[] map = [];
        var waiting = new WaitingRows(Columns);
        foreach ((CellDefinition? cell, JournalEntry entry) in _journal.ReadFrom(_first))
        {
            if (entry.Sequence > _last)
            {
                break;
            }

            if (entry.Sequence % 4096 == 0)
            {
                stop.ThrowIfCancellationRequested();
                progress?.Report((entry.Sequence - _first, _last - _first + 1));
            }

            if (entry is MissingEntries missing && missing.LastSequence >= _span.FirstSequence)
            {
                Missing.Add(missing);
            }

            if (cell is null || entry is not InputEntry { Input: ScanInput { Scan: var scan } } || scan.Time > _span.To)
            {
                continue;
            }

            if (cell != current)
            {
                (current, converter, converted) = (cell, new CellConverter(cell), new Reading[cell.Channels.Count]);
                map = MapOf(cell);
                // Readings of two wirings say nothing of each other.
                waiting.Wire(cell, map.Select(one => (one.Column, one.Channel)));
            }

            converter!.Convert(scan, converted);
            ExportRow row = waiting.Next(entry.Sequence, scan.Time);
            foreach ((int column, int channel, int point, int device) in map)
            {
                row.IsInScan[column] = device == scan.DeviceIndex;
                (row.Readings[column], row.Raw[column]) = (converted[channel], row.IsInScan[column] ? scan.Values[point] : double.NaN);
            }

            waiting.Judge(row);
            if (scan.Time < _span.From)
            {
                waiting.GiveBack(row);
                continue;
            }

            foreach ((int column, _, _, _) in map)
            {
                if (row.IsInScan[column] && SpikeRule.MayBeJudged(row.Readings[column].Quality) && IsDetached(column, scan.Time))
                {
                    row.Readings[column] = row.Readings[column] with { Quality = SignalQuality.Uncertain(QualityReason.Detached) };
                }
            }

            waiting.Add(row);
            while (waiting.TryTake(scan.Time, out ExportRow known))
            {
                yield return known;
                waiting.GiveBack(known);
            }
        }

        while (waiting.TryTake(null, out ExportRow left))
        {
            yield return left;
            waiting.GiveBack(left);
        }

        progress?.Report((_last - _first + 1, _last - _first + 1));
    }

    private bool IsDetached(int column, Timestamp time)
    {
        GapSpan[] spans = _detached[column];
        (int low, int high) = (0, spans.Length);
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = spans[middle].Start < time ? (middle + 1, high) : (low, middle);
        }

        return low > 0 && !(spans[low - 1].End < time);
    }

    private (int Column, int Channel, int Point, int Device)[] MapOf(CellDefinition cell)
    {
        List<(int, int, int, int)> map = [];
        for (int column = 0; column < Columns.Count; column++)
        {
            for (int i = 0; i < cell.Channels.Count; i++)
            {
                ChannelDefinition channel = cell.Channels[i];
                if (channel.Id == Columns[column].Id && UnitOf(channel) == Columns[column].Unit)
                {
                    int device = cell.Devices.ToList().FindIndex(candidate => candidate.Id == channel.Device);
                    map.Add((column, i, cell.Devices[device].Points.ToList().IndexOf(channel.Point), device));
                }
            }
        }

        return [.. map];
    }

    private bool IsWanted(ChannelDefinition channel) =>
        (_span.Carrier is null || channel.Role != ChannelRole.Product || channel.Carrier is null || channel.Carrier == _span.Carrier)
        && (!_span.OnlyCurves || (channel.Unit is MeasuredUnit.DegreeCelsius or MeasuredUnit.Millibar && channel.Role is not (ChannelRole.Motion or ChannelRole.Position or ChannelRole.Signal)));

    private static string UnitOf(ChannelDefinition channel) => UnitOf(channel.Unit);

    private static string UnitOf(MeasuredUnit unit) => unit switch
    {
        MeasuredUnit.DegreeCelsius => "degC",
        MeasuredUnit.Millibar => "mbar",
        MeasuredUnit.Millivolt => "mV",
        _ => "1",
    };
}
