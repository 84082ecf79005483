using System.Runtime.CompilerServices;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Influx;

/// <summary>Items as lines. What every line of a channel begins with is made once a wiring.</summary>
/// <remarks>A reading that is bad has no line: nobody may take it for a value. Values are always floats, so that a field never changes its type.</remarks>
internal sealed class LineRenderer(LineNames names, LinePrecision precision)
{
    private readonly ConditionalWeakTable<CellDefinition, Channel[]> _channels = [];
    private CellDefinition? _cell;
    private Channel[] _known = [];

    /// <summary>Appends the lines of an item.</summary>
    public void Add(FeedItem item, LineBuffer lines)
    {
        switch (item)
        {
            case ScanItem scan:
                Add(scan, lines);
                break;
            case RunItem run:
                Add(run.Run, lines);
                break;
            case AlarmItem alarm:
                Add(alarm, lines);
                break;
        }
    }

    private void Add(ScanItem scan, LineBuffer lines)
    {
        if (!ReferenceEquals(scan.Definition, _cell))
        {
            (_cell, _known) = (scan.Definition, _channels.GetValue(scan.Definition, Channels));
        }

        for (int i = 0; i < scan.Channels.Length; i++)
        {
            ref readonly Reading reading = ref scan.Readings[i];
            if (reading.Quality.Level == Quality.Bad || !double.IsFinite(reading.Value))
            {
                continue;
            }

            ref readonly Channel channel = ref _known[scan.Channels[i]];
            bool good = reading.Quality.Level == Quality.Good;
            lines.Raw(good ? channel.Good : channel.Doubtful);
            lines.Number(reading.Value);
            lines.Raw(good ? channel.GoodEnd : channel.DoubtfulEnd);
            lines.End(LineTime.Of(reading.Time, precision));
        }
    }

    private void Add(FedRun run, LineBuffer lines)
    {
        Timestamp time = run.End ?? run.Start;
        List<KeyValuePair<string, LineValue>> fields = [new("number", LineValue.Integer(run.Number)), new("open", LineValue.Integer(run.End is null ? 1 : 0))];
        if (run.End is { } end)
        {
            fields.Add(new("duration", LineValue.Float(end.SecondsSince(run.Start))));
            if (run.Verdict is { } verdict)
            {
                fields.Add(new("verdict", LineValue.Integer((long)verdict)));
            }
        }

        Add("run", [new("cell", Cell(run.Cell)), new("carrier", run.Carrier), new("kind", run.Kind.ToString())], fields, time, lines);
        foreach (FigureResult figure in run.Figures.Where(f => f.Value is { } value && double.IsFinite(value)))
        {
            fields = [new(names.Value, LineValue.Float(figure.Value!.Value)), new("run", LineValue.Integer(run.Number))];
            AddIf(fields, "margin", figure.Margin);
            AddIf(fields, "uncertainty", figure.U);
            if (figure.Verdict is { } verdict)
            {
                fields.Add(new("verdict", LineValue.Integer((long)verdict)));
            }

            Add("figure", [new("cell", Cell(run.Cell)), new("carrier", run.Carrier), new("figure", figure.Figure), new("channel", figure.ChannelId ?? "")], fields, time, lines);
        }
    }

    private void Add(AlarmItem item, LineBuffer lines)
    {
        List<KeyValuePair<string, LineValue>> fields =
        [
            new("state", LineValue.Integer((long)item.Alarm.State)), new("priority", LineValue.Integer((long)item.Alarm.Priority)), new("predicted", LineValue.Integer(item.Alarm.Predicted ? 1 : 0)),
        ];
        AddIf(fields, names.Value, item.Alarm.Value);
        AddIf(fields, "limit", item.Alarm.Limit);
        if (item.Alarm.Run is { } run)
        {
            fields.Add(new("run", LineValue.Integer(run)));
        }

        Add("alarm", [new("cell", Cell(item.Cell)), new("alarm", item.Alarm.AlarmId), new("condition", item.Alarm.Condition), new("channel", item.Alarm.ChannelId ?? "")], fields, item.Time, lines);
    }

    private void Add(string measurement, KeyValuePair<string, string>[] tags, List<KeyValuePair<string, LineValue>> fields, Timestamp time, LineBuffer lines)
    {
        string? problem = lines.TryAdd(new LinePoint(
            names.Prefix + measurement, [.. tags.Concat(names.Constant).Select(t => new KeyValuePair<string, string>(t.Key, t.Value.Length == 0 ? "" : LineText.Mended(t.Value)))],
            fields, LineTime.Of(time, precision)));
        if (problem is not null)
        {
            throw new InvalidOperationException(problem); // names are mended and numbers are finite
        }
    }

    private Channel[] Channels(CellDefinition cell) => [.. cell.Channels.Select(channel =>
    {
        KeyValuePair<string, string>[] tags =
            [new("cell", Cell(cell.Number)), new("channel", channel.Id), new("role", Camel(channel.Role.ToString())), .. names.Constant];
        string measurement = names.MeasurementOf(channel.Unit);
        byte[] Begin(IEnumerable<KeyValuePair<string, string>> more) =>
            [.. LineText.Series(measurement, tags.Concat(more)), (byte)' ', .. LineText.Key(names.Value), (byte)'='];
        byte[] End(int quality) => names is { Quality: { } name, QualityIsTag: false } ? [(byte)',', .. LineText.Key(name), (byte)'=', (byte)('0' + quality), (byte)'i'] : [];
        byte[] good = Begin([]);
        byte[] doubtful = names is { Quality: { } tag, QualityIsTag: true } ? Begin([new(tag, "uncertain")]) : good;
        return new Channel(good, doubtful, End(0), End(1));
    })];

    private static void AddIf(List<KeyValuePair<string, LineValue>> fields, string name, double? value)
    {
        if (value is { } number && double.IsFinite(number))
        {
            fields.Add(new(name, LineValue.Float(number)));
        }
    }

    private static string Cell(int number) => number.ToString(System.Globalization.CultureInfo.InvariantCulture);

    private static string Camel(string name) => char.ToLowerInvariant(name[0]) + name[1..];

    /// <summary>What lines of a channel begin and end with, as bytes.</summary>
    private readonly record struct Channel(byte[] Good, byte[] Doubtful, byte[] GoodEnd, byte[] DoubtfulEnd);
}
