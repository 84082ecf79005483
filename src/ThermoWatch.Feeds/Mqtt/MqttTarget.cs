using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>A broker that is sent JSON messages.</summary>
/// <remarks>Quality 1, in order, a window of messages on the way. A batch counts when the broker has taken all of it.</remarks>
public sealed class MqttTarget : IFeedTarget
{
    /// <summary>Readings in a message: large enough that a message's cost does not count, small enough for any broker.</summary>
    private const int MostReadings = 1000;

    private static readonly TimeSpan LastPeriod = TimeSpan.FromSeconds(1);

    private readonly MqttTopics _topics;
    private readonly BrokerLinks _links;
    private readonly ScanWriter _writer = new();
    private readonly Dictionary<string, Timestamp> _lastSent = [];

    /// <param name="broker">Which broker.</param>
    /// <param name="root">What every topic begins with.</param>
    public MqttTarget(Broker broker, string root)
        : this([broker], root)
    {
    }

    /// <param name="brokers">The brokers, in order of preference: when one is gone, the next one's turn comes.</param>
    /// <param name="root">What every topic begins with.</param>
    /// <param name="time">By which certificates expire; null: the computer's clock.</param>
    public MqttTarget(IReadOnlyList<Broker> brokers, string root, TimeProvider? time = null)
    {
        ArgumentNullException.ThrowIfNull(brokers);
        (_topics, _links) = (new MqttTopics(root), new BrokerLinks(brokers, time));
    }

    /// <inheritdoc/>
    public string Kind => "mqtt";

    /// <inheritdoc/>
    public string Address => $"{_links.Address}, {_topics.Root}/#";

    /// <inheritdoc/>
    public string PrecisionRule => "the record's 100 ns in full, as RFC 3339 text";

    /// <inheritdoc/>
    public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
    {
        ArgumentNullException.ThrowIfNull(batch);
        return await ConnectAsync(stopping).ConfigureAwait(false)
            ?? await _links.Current.PublishAsync(MessagesOf(batch), stopping).ConfigureAwait(false)
            ?? Delivery.Confirmed;
    }

    /// <inheritdoc/>
    public async Task<string?> TendAsync(CancellationToken stopping) => (await ConnectAsync(stopping).ConfigureAwait(false))?.Words;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (_links.Current.IsConnected)
        {
            using var soon = new CancellationTokenSource(TimeSpan.FromSeconds(2));
            try
            {
                await _links.Current.PublishAsync([new BrokerMessage(_topics.Status, MqttMessages.Status(false), true, 1)], soon.Token).ConfigureAwait(false);
            }
            catch (OperationCanceledException)
            {
                // The will says it.
            }
        }

        await _links.DisposeAsync().ConfigureAwait(false);
    }

    private async Task<Delivery?> ConnectAsync(CancellationToken stopping)
    {
        if (_links.Current.IsConnected)
        {
            return null;
        }

        _lastSent.Clear();
        return await _links.WalkAsync(
            async link => await link.ConnectAsync(new BrokerMessage(_topics.Status, MqttMessages.Status(false), true, 1), stopping).ConfigureAwait(false)
                ?? await link.PublishAsync([new BrokerMessage(_topics.Status, MqttMessages.Status(true), true, 1)], stopping).ConfigureAwait(false),
            stopping).ConfigureAwait(false);
    }

    /// <summary>One by one: the first is on its way while the next is made.</summary>
    private IEnumerable<BrokerMessage> MessagesOf(FeedBatch batch)
    {
        List<ScanItem> scans = [];
        int weight = 0;
        Dictionary<(int Cell, int Channel), ScanItem> newest = [];
        foreach (FeedItem item in batch.Items.Where(i => i is not DeviceItem))
        {
            if (scans.Count > 0 && (item is not ScanItem { Cell: var cell, Weight: var more } || cell != scans[0].Cell || weight + more > MostReadings))
            {
                yield return Readings(scans, batch.IsHistorical);
                scans.Clear();
                weight = 0;
            }

            switch (item)
            {
                case ScanItem scan:
                    scans.Add(scan);
                    weight += scan.Weight;
                    foreach (int channel in scan.Channels)
                    {
                        newest[(scan.Cell, channel)] = scan;
                    }

                    break;
                case RunItem run:
                    byte[] ofRun = MqttMessages.Run(run.Run);
                    yield return new BrokerMessage(_topics.Runs(run.Cell), ofRun, false, 1);
                    if (!batch.IsHistorical)
                    {
                        yield return new BrokerMessage(_topics.LastRun(run.Cell), ofRun, true, 1);
                    }

                    break;
                case AlarmItem alarm:
                    byte[] ofAlarm = MqttMessages.Alarm(alarm);
                    yield return new BrokerMessage(_topics.Alarms(alarm.Cell), ofAlarm, false, 1);
                    if (!batch.IsHistorical)
                    {
                        yield return new BrokerMessage(_topics.Alarm(alarm.Cell, alarm.Alarm.AlarmId), ofAlarm, true, 1);
                    }

                    break;
            }
        }

        if (scans.Count > 0)
        {
            yield return Readings(scans, batch.IsHistorical);
        }

        if (!batch.IsHistorical)
        {
            foreach (BrokerMessage last in Last(newest))
            {
                yield return last;
            }
        }
    }

    private BrokerMessage Readings(List<ScanItem> scans, bool historical) => new(_topics.Readings(scans[0].Cell), _writer.Write(scans, historical), false, 1);

    /// <summary>The retained newest readings: for who comes later, so once a second is enough.</summary>
    private IEnumerable<BrokerMessage> Last(Dictionary<(int Cell, int Channel), ScanItem> newest)
    {
        foreach (((int cell, int channel), ScanItem scan) in newest)
        {
            ChannelDefinition definition = scan.Definition.Channels[channel];
            string topic = _topics.Last(cell, definition.Id);
            if (!_lastSent.TryGetValue(topic, out Timestamp before) || scan.Time - before >= LastPeriod || scan.Time < before)
            {
                _lastSent[topic] = scan.Time;
                yield return new BrokerMessage(topic, MqttMessages.Last(definition, scan.Readings[Array.IndexOf(scan.Channels, channel)]), true, 1);
            }
        }
    }
}
