using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>A message that the node has to say.</summary>
/// <param name="Topic">Its topic.</param>
/// <param name="Payload">Its payload.</param>
internal readonly record struct SparkplugMessage(string Topic, byte[] Payload);

/// <summary>
/// What an edge node says, message by message: births with every metric, data by alias, counters. Pure: time is given, nothing is sent.
/// A cell is a device of the node (its runs and alarms), and so is each instrument of it (its readings).
/// </summary>
internal sealed partial class EdgeNode
{
    public const string RebirthMetric = "Node Control/Rebirth";
    private const string BirthDeath = "bdSeq";
    private const ulong BirthDeathAlias = 1;
    private readonly string _group, _node;
    private readonly List<SparkplugDevice> _devices = [];
    private readonly Dictionary<(int Cell, string? Instrument), SparkplugDevice> _find = [];
    private readonly HashSet<string> _ids = new(StringComparer.OrdinalIgnoreCase);
    private ulong _nextAlias = BirthDeathAlias + 1;
    private ulong _bornMs = ulong.MaxValue;
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

    /// <summary>Whether something was learnt that the last birth did not say.</summary>
    public bool NeedsBirth { get; private set; } = true;

    public string Topic(string type, string? device = null) => $"spBv1.0/{_group}/{type}/{_node}" + (device is null ? "" : "/" + device);

    /// <summary>Takes in the instruments and channels of a cell; a new one asks for a new birth.</summary>
    public void Learn(CellDefinition cell)
    {
        SparkplugDevice own = Device(cell.Number, null);
        foreach ((string name, SparkplugType type) in EventMetrics)
        {
            NeedsBirth |= own.Learn(name, name, type, ref _nextAlias);
        }

        foreach (ChannelDefinition channel in cell.Channels)
        {
            NeedsBirth |= Device(cell.Number, channel.Device).Learn(channel.Id, "Readings/" + Clean(channel.Id), SparkplugType.Double, ref _nextAlias);
        }
    }

    /// <summary>The will, and what is published before an intended end.</summary>
    public byte[] Death(ulong nowMs) => SparkplugCodec.Encode(new SparkplugPayload
    {
        TimestampMs = nowMs,
        Metrics = [new SparkplugMetric { Name = BirthDeath, TimestampMs = nowMs, Datatype = (uint)SparkplugType.Int64, LongValue = (ulong)BirthDeathSeq }],
    });

    /// <summary>The whole birth: the node, then every device that answers.</summary>
    public IEnumerable<SparkplugMessage> Births(ulong nowMs)
    {
        _seq = 0;
        (_bornMs, NeedsBirth) = (nowMs, false);
        foreach (SparkplugDevice device in _devices)
        {
            device.IsBorn = false;
        }

        yield return new SparkplugMessage(Topic("NBIRTH"), SparkplugCodec.Encode(new SparkplugPayload
        {
            TimestampMs = nowMs,
            Metrics =
            [
                new SparkplugMetric { Name = BirthDeath, Alias = BirthDeathAlias, TimestampMs = nowMs, Datatype = (uint)SparkplugType.Int64, LongValue = (ulong)BirthDeathSeq },
                new SparkplugMetric { Name = RebirthMetric, TimestampMs = nowMs, Datatype = (uint)SparkplugType.Boolean, BooleanValue = false },
            ],
            Seq = NextSeq(),
        }));
        foreach (SparkplugDevice device in _devices.Where(d => d.Answers))
        {
            yield return Birth(device, nowMs, nowMs);
        }
    }

    public static ulong Milliseconds(Timestamp time) => (ulong)Math.Max(0, (time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) / TimeSpan.TicksPerMillisecond);

    private SparkplugMessage Birth(SparkplugDevice device, ulong bornMs, ulong nowMs)
    {
        (device.IsBorn, device.BornMs) = (true, bornMs);
        return new SparkplugMessage(Topic("DBIRTH", device.Id), SparkplugCodec.Encode(new SparkplugPayload
        {
            TimestampMs = nowMs,
            Metrics = [.. device.Metrics.Select(m => m.InBirth(nowMs, !device.Answers)).OrderBy(m => m.TimestampMs)],
            Seq = NextSeq(),
        }));
    }

    private SparkplugMessage Death(SparkplugDevice device, ulong nowMs)
    {
        device.IsBorn = false;
        return new SparkplugMessage(Topic("DDEATH", device.Id), SparkplugCodec.Encode(new SparkplugPayload { TimestampMs = nowMs, Seq = NextSeq() }));
    }

    private SparkplugDevice Device(int cell, string? instrument)
    {
        if (!_find.TryGetValue((cell, instrument), out SparkplugDevice? device))
        {
            string id = FormattableString.Invariant($"cell-{cell}") + (instrument is null ? "" : "-" + Clean(instrument));
            device = new SparkplugDevice(SparkplugDevice.Distinct(id, _ids));
            _find.Add((cell, instrument), device);
            _devices.Add(device);
        }

        return device;
    }

    private ulong NextSeq()
    {
        int seq = _seq;
        _seq = (_seq + 1) % 256;
        return (ulong)seq;
    }

    /// <summary>Names of metrics and devices: other signs than these confuse hosts, and some have a meaning in topics.</summary>
    private static string Clean(string name) => string.Concat(name.Select(c => char.IsAsciiLetterOrDigit(c) || c is '-' or '_' or ' ' ? c : '_'));
}
