using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Names of an edge node.</summary>
/// <param name="Group">Its group.</param>
/// <param name="Node">Its own name; the pair is unique in the plant.</param>
/// <param name="PrimaryHost">Host application without which nothing is sent; null: none.</param>
public sealed record SparkplugNames(string Group, string Node, string? PrimaryHost);

/// <summary>An edge node of Sparkplug B 3.0. One publisher owns its counters; a command may only ask for a new birth.</summary>
/// <remarks>
/// Data have quality 0, as the specification asks. A batch counts when the broker has answered a ping that was sent after it:
/// on one connection it has then read everything before.
/// </remarks>
public sealed class SparkplugTarget : IFeedTarget
{
    private const int MostReadings = 500;

    private readonly Broker _broker;
    private readonly SparkplugNames _names;
    private readonly EdgeNode _node;
    private readonly BrokerLink _link;
    private readonly HostState? _host;
    private readonly TimeProvider _time;
    private readonly string _counter;
    private volatile bool _rebirth;
    private bool _born;

    /// <param name="broker">Which broker.</param>
    /// <param name="names">What it is called.</param>
    /// <param name="cells">The cells as they are wired now: each is a device.</param>
    /// <param name="folder">Where the count of births and deaths outlives a restart.</param>
    /// <param name="time">The clock of payloads.</param>
    public SparkplugTarget(Broker broker, SparkplugNames names, IReadOnlyList<CellDefinition> cells, string folder, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(names);
        (_broker, _names, _time) = (broker, names, time);
        _node = new EdgeNode(names.Group, names.Node, cells);
        _host = names.PrimaryHost is { } host ? new HostState(host) : null;
        _counter = Path.Combine(folder, "bdSeq");
        _link = new BrokerLink(broker) { Received = Take };
    }

    /// <inheritdoc/>
    public string Kind => "sparkplug";

    /// <inheritdoc/>
    public string Address => $"{_broker}, spBv1.0/{_names.Group}/+/{_names.Node}";

    /// <inheritdoc/>
    public string PrecisionRule => "ms: finer parts are cut off, towards the past";

    private ulong NowMs => EdgeNode.Milliseconds(Timestamp.From(_time.GetUtcNow()));

    /// <inheritdoc/>
    public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
    {
        ArgumentNullException.ThrowIfNull(batch);
        foreach (CellDefinition wiring in batch.Items.OfType<ScanItem>().Select(s => s.Definition).Distinct(ReferenceEqualityComparer.Instance).Cast<CellDefinition>())
        {
            _node.Learn(wiring); // a wiring of the past may have channels that nobody was told of
        }

        if (await BeBornAsync(stopping).ConfigureAwait(false) is { } trouble)
        {
            return trouble;
        }

        List<FeedItem> part = [];
        for (int i = 0; i < batch.Items.Count; i++)
        {
            part.Add(batch.Items[i]);
            bool ends = i + 1 == batch.Items.Count || batch.Items[i + 1].Cell != batch.Items[i].Cell || part.Sum(p => p.Weight) >= MostReadings;
            if (!ends)
            {
                continue;
            }

            if (_rebirth && await BeBornAsync(stopping).ConfigureAwait(false) is { } late)
            {
                return late;
            }

            (string topic, byte[] payload) = _node.Data(part[0].Cell, part, batch.IsHistorical, NowMs);
            if (await _link.PublishAsync([new BrokerMessage(topic, payload, false, 0)], stopping).ConfigureAwait(false) is { } failed)
            {
                _born = false;
                return failed;
            }

            part = [];
        }

        Delivery? lost = await _link.PingAsync(stopping).ConfigureAwait(false);
        _born &= lost is null;
        return lost ?? Delivery.Confirmed;
    }

    /// <inheritdoc/>
    public async Task<string?> TendAsync(CancellationToken stopping) => (await BeBornAsync(stopping).ConfigureAwait(false))?.Words;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await DieAsync(CancellationToken.None).ConfigureAwait(false);
        await _link.DisposeAsync().ConfigureAwait(false);
    }

    /// <summary>Connected, the host there, and everything told that the session can say; or why not.</summary>
    private async Task<Delivery?> BeBornAsync(CancellationToken stopping)
    {
        if (!_link.IsConnected)
        {
            _born = false;
            _host?.Reset();
            _node.BirthDeathSeq = NextCount();
            string[] topics = _host is null ? [_node.Topic("NCMD")] : [_host.Topic, _node.Topic("NCMD")];
            if (await _link.ConnectAsync(new BrokerMessage(_node.Topic("NDEATH"), _node.Death(NowMs), false, 1), stopping).ConfigureAwait(false) is { } trouble)
            {
                return trouble;
            }

            if ((await _link.SubscribeAsync(topics, stopping).ConfigureAwait(false) ?? await _link.PingAsync(stopping).ConfigureAwait(false)) is { } deaf)
            {
                await _link.DisconnectAsync().ConfigureAwait(false);
                return deaf;
            }
        }

        if (_host is { IsOnline: false })
        {
            if (_born)
            {
                await DieAsync(stopping).ConfigureAwait(false);
            }

            return Delivery.Later($"The host application {_host.HostId} is not online.");
        }

        if (_born && !_rebirth && !_node.NeedsBirth)
        {
            return null;
        }

        _rebirth = false;
        Delivery? failed = await _link.PublishAsync([.. _node.Births(NowMs).Select(b => new BrokerMessage(b.Topic, b.Payload, false, 0))], stopping).ConfigureAwait(false);
        _born = failed is null;
        return failed;
    }

    /// <summary>An intended end: MQTT 5 lets the broker publish the will, 3.1.1 does not, so we do.</summary>
    private async Task DieAsync(CancellationToken stopping)
    {
        if (_born && _link.IsConnected && !_broker.Version5)
        {
            await _link.PublishAsync([new BrokerMessage(_node.Topic("NDEATH"), _node.Death(NowMs), false, 1)], stopping).ConfigureAwait(false);
        }

        bool withWill = _born;
        _born = false;
        await _link.DisconnectAsync(withWill).ConfigureAwait(false);
    }

    private Task Take(string topic, byte[] payload)
    {
        if (_host is not null && topic == _host.Topic)
        {
            _host.Take(payload);
        }
        else if (topic == _node.Topic("NCMD") && SparkplugCodec.TryDecode(payload) is { } command && command.Metrics.Any(m => m is { Name: EdgeNode.RebirthMetric, BooleanValue: true }))
        {
            _rebirth = true; // nothing else can be commanded: this program only watches
        }

        return Task.CompletedTask;
    }

    /// <summary>One more than at the CONNECT before, over restarts; from 0, after 255 comes 0.</summary>
    private int NextCount()
    {
        int next = 0;
        try
        {
            if (File.Exists(_counter) && int.TryParse(File.ReadAllText(_counter), NumberStyles.None, CultureInfo.InvariantCulture, out int last))
            {
                next = (last + 1) % 256;
            }

            Directory.CreateDirectory(Path.GetDirectoryName(_counter)!);
            File.WriteAllText(_counter, next.ToString(CultureInfo.InvariantCulture));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            next = (_node.BirthDeathSeq + 1) % 256; // the disk refuses: it is right at least while this process lives
        }

        return next;
    }
}
