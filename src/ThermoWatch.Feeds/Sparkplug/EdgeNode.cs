using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>
/// What an edge node says, message by message: births with every metric, data by alias, counters. Pure: time is given, nothing is sent.
/// A cell is a device of the node.
/// </summary>
internal sealed class EdgeNode
{
    public const string RebirthMetric = "Node Control/Rebirth";
    private const string BirthDeath = "bdSeq";
    private const int GoodQuality = 192, BadQuality = 0;
    private readonly string _group, _node;
    private readonly SortedDictionary<int, List<Metric>> _devices = [];
    private readonly Dictionary<(int Cell, string Name), Metric> _metrics = [];
    private ulong _nextAlias = 1;
    private int _seq;

    public EdgeNode(string group, string node, IEnumerable<CellDefinition> cells)
    {
        (_group, _node) = (group, node);
        foreach (CellDefinition cell in cells)
        {
            Learn(cell);
        }
    }

    /// <summary>Of the session: the same in its will and its birth.</summary>
    public int BirthDeathSeq { get; set; }

    /// <summary>Values from before this were stored while nobody listened; ms since 1970.</summary>
    public ulong BornMs { get; private set; } = ulong.MaxValue;

    /// <summary>Whether something was learnt that the last birth did not say.</summary>
    public bool NeedsBirth { get; set; } = true;

    public string Topic(string type, int? cell = null) =>
        $"spBv1.0/{_group}/{type}/{_node}" + (cell is { } number ? FormattableString.Invariant($"/cell-{number}") : "");

    /// <summary>Takes in the channels of a cell; a new one asks for a new birth.</summary>
    public void Learn(CellDefinition cell)
    {
        foreach (ChannelDefinition channel in cell.Channels)
        {
            Learn(cell.Number, "Readings/" + Clean(channel.Id), SparkplugType.Double);
        }

        Learn(cell.Number, "Run/Number", SparkplugType.Int64);
        Learn(cell.Number, "Run/Open", SparkplugType.Boolean);
        Learn(cell.Number, "Run/Carrier", SparkplugType.String);
        Learn(cell.Number, "Run/Verdict", SparkplugType.String);
        Learn(cell.Number, "Alarm/Id", SparkplugType.String);
        Learn(cell.Number, "Alarm/State", SparkplugType.String);
        Learn(cell.Number, "Alarm/Priority", SparkplugType.String);
    }

    /// <summary>The will, and what is published before an intended end.</summary>
    public byte[] Death(ulong nowMs) => SparkplugCodec.Encode(new SparkplugPayload
    {
        TimestampMs = nowMs,
        Metrics = [new SparkplugMetric { Name = BirthDeath, TimestampMs = nowMs, Datatype = (uint)SparkplugType.Int64, LongValue = (ulong)BirthDeathSeq }],
    });

    /// <summary>The whole birth: the node, then every device.</summary>
    public IEnumerable<(string Topic, byte[] Payload)> Births(ulong nowMs)
    {
        _seq = 0;
        (BornMs, NeedsBirth) = (nowMs, false);
        yield return (Topic("NBIRTH"), SparkplugCodec.Encode(new SparkplugPayload
        {
            TimestampMs = nowMs,
            Metrics =
            [
                new SparkplugMetric { Name = BirthDeath, TimestampMs = nowMs, Datatype = (uint)SparkplugType.Int64, LongValue = (ulong)BirthDeathSeq },
                new SparkplugMetric { Name = RebirthMetric, TimestampMs = nowMs, Datatype = (uint)SparkplugType.Boolean, BooleanValue = false },
            ],
            Seq = NextSeq(),
        }));
        foreach ((int cell, List<Metric> metrics) in _devices)
        {
            yield return (Topic("DBIRTH", cell), SparkplugCodec.Encode(new SparkplugPayload
            {
                TimestampMs = nowMs,
                Metrics = [.. metrics.Select(m => m.InBirth(nowMs)).OrderBy(m => m.TimestampMs)],
                Seq = NextSeq(),
            }));
        }
    }

    /// <summary>Data of one cell as one message. Channels that no birth has told of must have been learnt before.</summary>
    public (string Topic, byte[] Payload) Data(int cell, IReadOnlyList<FeedItem> items, bool historical, ulong nowMs)
    {
        List<SparkplugMetric> metrics = [];
        foreach (FeedItem item in items)
        {
            ulong time = Milliseconds(item.Time);
            bool past = historical || time < BornMs;
            switch (item)
            {
                case ScanItem scan:
                    for (int i = 0; i < scan.Channels.Length; i++)
                    {
                        Add("Readings/" + Clean(scan.Definition.Channels[scan.Channels[i]].Id), Of(scan.Readings[i]), time, past);
                    }

                    break;
                case RunItem { Run: var run }:
                    Add("Run/Number", new SparkplugMetric { LongValue = (ulong)run.Number }, time, past);
                    Add("Run/Open", new SparkplugMetric { BooleanValue = run.End is null }, time, past);
                    Add("Run/Carrier", new SparkplugMetric { StringValue = run.Carrier }, time, past);
                    Add("Run/Verdict", run.Verdict is { } verdict ? new SparkplugMetric { StringValue = verdict.ToString() } : new SparkplugMetric { IsNull = true }, time, past);
                    break;
                case AlarmItem { Alarm: var alarm }:
                    Add("Alarm/Id", new SparkplugMetric { StringValue = alarm.AlarmId }, time, past);
                    Add("Alarm/State", new SparkplugMetric { StringValue = alarm.State.ToString() }, time, past);
                    Add("Alarm/Priority", new SparkplugMetric { StringValue = alarm.Priority.ToString() }, time, past);
                    break;
            }
        }

        return (Topic("DDATA", cell), SparkplugCodec.Encode(new SparkplugPayload { TimestampMs = nowMs, Metrics = metrics, Seq = NextSeq() }));

        void Add(string name, SparkplugMetric value, ulong time, bool past)
        {
            Metric metric = _metrics[(cell, name)];
            if (!past)
            {
                metric.Last = value with { TimestampMs = time };
            }

            metrics.Add(value with { Alias = metric.Alias, TimestampMs = time, IsHistorical = past });
        }
    }

    public static ulong Milliseconds(Timestamp time) => (ulong)Math.Max(0, (time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) / TimeSpan.TicksPerMillisecond);

    private static SparkplugMetric Of(Reading reading) => reading.Quality.Level switch
    {
        Quality.Good when double.IsFinite(reading.Value) => new SparkplugMetric { DoubleValue = reading.Value },
        Quality.Uncertain when double.IsFinite(reading.Value) => new SparkplugMetric
        {
            DoubleValue = reading.Value,
            Properties = [new("Quality", GoodQuality, null), new("Reason", null, reading.Quality.ToString())],
        },
        _ => new SparkplugMetric { IsNull = true, Properties = [new("Quality", BadQuality, null), new("Reason", null, reading.Quality.ToString())] },
    };

    private void Learn(int cell, string name, SparkplugType type)
    {
        if (_metrics.ContainsKey((cell, name)))
        {
            return;
        }

        var metric = new Metric(name, _nextAlias++, type);
        _metrics.Add((cell, name), metric);
        if (!_devices.TryGetValue(cell, out List<Metric>? of))
        {
            _devices.Add(cell, of = []);
        }

        of.Add(metric);
        NeedsBirth = true;
    }

    private ulong NextSeq()
    {
        int seq = _seq;
        _seq = (_seq + 1) % 256;
        return (ulong)seq;
    }

    /// <summary>Names of metrics: other signs than these confuse hosts.</summary>
    private static string Clean(string name) => string.Concat(name.Select(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' or ' ' ? c : '_'));

    private sealed class Metric(string name, ulong alias, SparkplugType type)
    {
        public ulong Alias => alias;

        /// <summary>Newest value sent; null before the first.</summary>
        public SparkplugMetric? Last { get; set; }

        public SparkplugMetric InBirth(ulong nowMs) => (Last ?? new SparkplugMetric { IsNull = true, TimestampMs = nowMs }) with { Name = name, Alias = alias, Datatype = (uint)type, IsHistorical = false };
    }
}
