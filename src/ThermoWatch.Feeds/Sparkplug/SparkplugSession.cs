using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>The session of an edge node with one of its brokers: connect, host there, born, until it dies. One caller at a time.</summary>
internal sealed class SparkplugSession : IAsyncDisposable
{
    private static readonly TimeSpan LookPatience = TimeSpan.FromMilliseconds(250);

    private readonly EdgeNode _node;
    private readonly BrokerLinks _links;
    private readonly BirthDeathCount _count;
    private readonly RebirthGate _gate;
    private readonly TimeProvider _time;

    /// <summary>One a broker: what one broker has kept of a host says nothing of what another has.</summary>
    private readonly HostState[] _hosts;
    private bool _born;

    public SparkplugSession(IReadOnlyList<Broker> brokers, SparkplugNames names, EdgeNode node, string folder, TimeProvider time)
    {
        (_node, _time) = (node, time);
        _count = new BirthDeathCount(folder);
        _gate = new RebirthGate(time);
        _hosts = names.PrimaryHost is { } host ? [.. brokers.Select(_ => new HostState(host))] : [];
        _links = new BrokerLinks(brokers, time, Take);
    }

    /// <summary>Called, on any thread, when something came that asks for births or a death.</summary>
    public Action Stirred { get; init; } = () => { };

    public string Address => _links.Address;

    public bool IsConnected => _links.Current.IsConnected;

    /// <summary>Whether a host's request is not answered yet.</summary>
    public bool IsAsked => _gate.IsAsked;

    /// <summary>How long an answer to it must wait.</summary>
    public TimeSpan Patience => _gate.IsAsked && _gate.Wait is { Ticks: > 0 } wait ? wait + TimeSpan.FromMilliseconds(1) : TimeSpan.Zero;

    /// <summary>Whether births come before anything else.</summary>
    public bool MustBeBorn => !_born || _gate.IsDue || _node.NeedsBirth || Host is { IsOnline: false };

    private HostState? Host => _hosts.Length == 0 ? null : _hosts[_links.At];

    /// <summary>Connected, the host there, and everything told that the session can say; or why not.</summary>
    public Task<Delivery?> BeReadyAsync(CancellationToken stopping) => _links.WalkAsync(link => BeReadyAsync(link, stopping), stopping);

    public async Task<Delivery?> PublishAsync(SparkplugMessage message, CancellationToken stopping)
    {
        Delivery? failed = await _links.Current.PublishAsync([new BrokerMessage(message.Topic, message.Payload, false, 0)], stopping).ConfigureAwait(false);
        _born &= failed is null;
        return failed;
    }

    /// <summary>Waits until the broker has read everything that was sent.</summary>
    public async Task<Delivery?> ConfirmAsync(CancellationToken stopping)
    {
        Delivery? lost = await _links.Current.PingAsync(stopping).ConfigureAwait(false);
        _born &= lost is null;
        return lost;
    }

    public async ValueTask DisposeAsync()
    {
        using var soon = new CancellationTokenSource(TimeSpan.FromSeconds(2), _time);
        try
        {
            await DieAsync(_links.Current, soon.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            // The will says it.
        }

        await _links.DisposeAsync().ConfigureAwait(false);
    }

    private async Task<Delivery?> BeReadyAsync(BrokerLink link, CancellationToken stopping)
    {
        if (!link.IsConnected && await ConnectAsync(link, stopping).ConfigureAwait(false) is { } trouble)
        {
            return trouble;
        }

        if (Host is { IsOnline: false } host)
        {
            // The only broker is waited at for its host; of several, the next may have it.
            if (_born || _links.Count > 1)
            {
                await DieAsync(link, stopping).ConfigureAwait(false);
            }

            return Delivery.Later($"The host application {host.HostId} is not online.");
        }

        if (!_born || _gate.IsDue || _node.NeedsBirth)
        {
            _gate.Answer();
            Delivery? failed = await link.PublishAsync(
                [.. _node.Births(EdgeNode.Milliseconds(Timestamp.From(_time.GetUtcNow()))).Select(b => new BrokerMessage(b.Topic, b.Payload, false, 0))], stopping).ConfigureAwait(false);
            _born = failed is null;
            return failed;
        }

        return null;
    }

    private async Task<Delivery?> ConnectAsync(BrokerLink link, CancellationToken stopping)
    {
        _born = false;
        Host?.Reset();
        _node.BirthDeathSeq = _count.Next();
        byte[] death = _node.Death(EdgeNode.Milliseconds(Timestamp.From(_time.GetUtcNow())));
        if (await link.ConnectAsync(new BrokerMessage(_node.Topic("NDEATH"), death, false, 1), stopping).ConfigureAwait(false) is { } trouble)
        {
            if (!link.WasReached)
            {
                _count.TakeBack(); // the number counts CONNECTs, and none was sent
            }

            return trouble;
        }

        string[] topics = Host is { } host ? [host.Topic, _node.Topic("NCMD")] : [_node.Topic("NCMD")];
        if ((await link.SubscribeAsync(topics, stopping).ConfigureAwait(false) ?? await link.PingAsync(stopping).ConfigureAwait(false)) is { } deaf)
        {
            await link.DisconnectAsync().ConfigureAwait(false);
            return deaf;
        }

        if (Host is { } wanted)
        {
            // What the broker has kept of the host has arrived before the answer to the ping, but may still wait to be looked at.
            await Task.WhenAny(wanted.Heard, Task.Delay(LookPatience, stopping)).ConfigureAwait(false);
            stopping.ThrowIfCancellationRequested();
        }

        return null;
    }

    /// <summary>
    /// An intended end: the death is published, and MQTT 5 says by its reason code that the will holds as well. A session that was never
    /// born has nothing to end: a birth is the first message that a node may send.
    /// </summary>
    private async Task DieAsync(BrokerLink link, CancellationToken stopping)
    {
        bool born = _born && link.IsConnected;
        _born = false;
        if (born)
        {
            await link.PublishAsync([new BrokerMessage(_node.Topic("NDEATH"), _node.Death(EdgeNode.Milliseconds(Timestamp.From(_time.GetUtcNow()))), false, 1)], stopping).ConfigureAwait(false);
        }

        await link.DisconnectAsync(withWill: born).ConfigureAwait(false);
    }

    private Task Take(string topic, byte[] payload)
    {
        if (Host is { } host && topic == host.Topic)
        {
            bool before = host.IsOnline;
            host.Take(payload);
            if (before != host.IsOnline)
            {
                Stirred();
            }
        }
        else if (topic == _node.Topic("NCMD") && SparkplugCodec.TryDecode(payload) is { } command && command.Metrics.Any(m => m is { Name: EdgeNode.RebirthMetric, BooleanValue: true }))
        {
            _gate.Ask(); // nothing else can be commanded: this program only watches
            Stirred();
        }

        return Task.CompletedTask;
    }
}
