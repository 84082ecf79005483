using System.Security.Cryptography;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Formatter;
using MQTTnet.Protocol;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>A message that is to be published.</summary>
/// <param name="Topic">Its topic.</param>
/// <param name="Payload">Its payload.</param>
/// <param name="Retain">Whether the broker keeps it for who comes later.</param>
/// <param name="Quality">0 or 1.</param>
internal readonly record struct BrokerMessage(string Topic, byte[] Payload, bool Retain, int Quality);

/// <summary>One connection to a broker. Sessions are clean: what must not be lost is in our record, never in the broker's.</summary>
internal sealed class BrokerLink : IAsyncDisposable
{
    private readonly Broker _broker;
    private readonly BrokerTls _tls;
    private readonly IMqttClient _client = new MqttClientFactory().CreateMqttClient();
    private readonly BrokerWires _wires = new();
    private int _granted = ushort.MaxValue;
    private string? _alert;

    /// <param name="broker">Which broker.</param>
    /// <param name="time">By which certificates expire; null: the computer's clock.</param>
    public BrokerLink(Broker broker, TimeProvider? time = null)
    {
        (_broker, _tls) = (broker, new BrokerTls(broker, time ?? TimeProvider.System));
        _client.ApplicationMessageReceivedAsync += e => Received?.Invoke(e.ApplicationMessage.Topic, e.ApplicationMessage.Payload.ToArray()) ?? Task.CompletedTask;
    }

    /// <summary>Called with topic and payload of what comes in.</summary>
    public Func<string, byte[], Task>? Received { get; set; }

    public bool IsConnected => _client.IsConnected;

    public Broker Broker => _broker;

    /// <summary>Whether the last attempt to connect can have come as far as a CONNECT.</summary>
    public bool WasReached { get; private set; }

    /// <summary>Connects with a will.</summary>
    /// <returns>What is wrong; null when connected.</returns>
    public async Task<Delivery?> ConnectAsync(BrokerMessage will, CancellationToken stopping)
    {
        WasReached = false;
        try
        {
            string password = "";
            if (_broker.Password is { } secret && !secret.TryRead(out password, out string problem))
            {
                return Delivery.Refused(problem);
            }

            if (_tls.Prepare() is { } wrong)
            {
                return Delivery.Refused(wrong);
            }

            WasReached = true;
            MqttClientConnectResult answer = await _client.ConnectAsync(Options(will, password), stopping).ConfigureAwait(false);
            _alert = null;
            _granted = answer.ReceiveMaximum is > 0 and var most ? most : ushort.MaxValue;
            return answer.ResultCode switch
            {
                MqttClientConnectResultCode.Success => null,
                MqttClientConnectResultCode.BadUserNameOrPassword or MqttClientConnectResultCode.NotAuthorized => Delivery.Refused(BrokerWords.Stranger(_broker, answer.ResultCode)),
                MqttClientConnectResultCode.Banned or MqttClientConnectResultCode.BadAuthenticationMethod or MqttClientConnectResultCode.ClientIdentifierNotValid =>
                    Delivery.Refused($"The broker does not let us in: {answer.ResultCode}. {answer.ReasonString}".TrimEnd()),
                MqttClientConnectResultCode.UnsupportedProtocolVersion =>
                    Delivery.Refused($"The broker does not speak MQTT {(_broker.Version5 ? "5. Write \"mqtt\": \"3.1.1\"" : "3.1.1. Write \"mqtt\": \"5\"")}."),
                _ => Delivery.Later($"The broker answers {answer.ResultCode}. {answer.ReasonString}".TrimEnd()),
            };
        }
        catch (Exception fault) when (_tls.WordsOf(fault) is { } words)
        {
            WasReached = false;
            _alert = $"No encrypted connection to {_broker.Host}: {words}";
            return Delivery.Refused(_alert);
        }
        catch (Exception fault) when (fault is MqttCommunicationException or MqttProtocolViolationException or InvalidOperationException or IOException or UnauthorizedAccessException or CryptographicException)
        {
            WasReached = !BrokerWords.NeverSent(fault);
            // By TLS 1.3 the end of the connection may arrive before the words that say why: then those of the last attempt hold.
            return WasReached && _alert is { } known ? Delivery.Refused(known) : Delivery.Later(BrokerWords.NotLetIn(_broker, fault, WasReached));
        }
    }

    /// <summary>Publishes in order, several on the way at once, and waits until the broker has taken all of them.</summary>
    /// <param name="messages">Taken one by one, each when there is room for it, so that the first is on its way while the next is made.</param>
    /// <param name="stopping">Ends it.</param>
    /// <returns>What is wrong; null if it has.</returns>
    public async Task<Delivery?> PublishAsync(IEnumerable<BrokerMessage> messages, CancellationToken stopping)
    {
        if (_wires.Newest is not { } wire)
        {
            return Delivery.Later("There is no connection.");
        }

        var window = new BrokerWindow(Math.Min(_broker.Window, _granted));
        try
        {
            wire.Hold();
            try
            {
                await SendAsync(messages, wire, window, stopping).ConfigureAwait(false);
            }
            finally
            {
                await wire.ReleaseAsync(stopping).ConfigureAwait(false);
            }
        }
        catch (IOException broken)
        {
            return Delivery.Later(broken.Message);
        }

        await window.IsEmptyAsync(stopping).ConfigureAwait(false);
        stopping.ThrowIfCancellationRequested();
        return window.Trouble;
    }

    /// <summary>Waits until the broker has read everything that was sent.</summary>
    public async Task<Delivery?> PingAsync(CancellationToken stopping)
    {
        try
        {
            await _client.PingAsync(stopping).ConfigureAwait(false);
            return null;
        }
        catch (Exception fault) when (fault is MqttCommunicationException or MqttClientNotConnectedException or IOException or InvalidOperationException)
        {
            return Delivery.Later(fault.GetBaseException().Message);
        }
    }

    /// <summary>Subscribes with quality 1.</summary>
    public async Task<Delivery?> SubscribeAsync(IEnumerable<string> topics, CancellationToken stopping)
    {
        try
        {
            foreach (string topic in topics)
            {
                MqttClientSubscribeResult answer = await _client.SubscribeAsync(
                    new MqttClientSubscribeOptionsBuilder().WithTopicFilter(topic, MqttQualityOfServiceLevel.AtLeastOnce).Build(), stopping).ConfigureAwait(false);
                if (answer.Items.Any(i => (int)i.ResultCode > 2))
                {
                    return Delivery.Refused($"The broker does not let us subscribe {topic}: {answer.Items.First().ResultCode}.");
                }
            }

            return null;
        }
        catch (Exception fault) when (fault is MqttCommunicationException or MqttClientNotConnectedException or IOException or InvalidOperationException)
        {
            return Delivery.Later(fault.GetBaseException().Message);
        }
    }

    /// <summary>Leaves; with MQTT 5 the broker may be asked to publish the will all the same.</summary>
    public async Task DisconnectAsync(bool withWill = false)
    {
        if (!_client.IsConnected)
        {
            return;
        }

        try
        {
            await _client.DisconnectAsync(new MqttClientDisconnectOptions
            {
                Reason = withWill && _broker.Version5 ? MqttClientDisconnectOptionsReason.DisconnectWithWillMessage : MqttClientDisconnectOptionsReason.NormalDisconnection,
            }).ConfigureAwait(false);
        }
        catch (Exception fault) when (fault is MqttCommunicationException or InvalidOperationException or OperationCanceledException or IOException)
        {
            // It is gone already.
        }
    }

    public async ValueTask DisposeAsync()
    {
        await DisconnectAsync().ConfigureAwait(false);
        _client.Dispose();
    }

    private async Task SendAsync(IEnumerable<BrokerMessage> messages, BrokerWire wire, BrokerWindow window, CancellationToken stopping)
    {
        foreach (BrokerMessage message in messages)
        {
            if (!window.TryEnter())
            {
                await wire.SendGatheredAsync(stopping).ConfigureAwait(false);
                await window.HasRoomAsync(stopping).ConfigureAwait(false);
                window.TryEnter();
            }

            if (window.Trouble is not null)
            {
                window.Leave(null);
                return;
            }

            _ = SendAsync(message, window, stopping);
        }
    }

    /// <summary>Hands one message over and waits for its acknowledgement. Whatever befalls it becomes the window's trouble.</summary>
    private async Task SendAsync(BrokerMessage message, BrokerWindow window, CancellationToken stopping)
    {
        Delivery? trouble = null;
        try
        {
            MqttClientPublishResult answer = await _client.PublishAsync(
                new MqttApplicationMessage
                {
                    Topic = message.Topic,
                    PayloadSegment = message.Payload,
                    Retain = message.Retain,
                    QualityOfServiceLevel = (MqttQualityOfServiceLevel)message.Quality,
                },
                stopping).ConfigureAwait(false);
            trouble = answer.IsSuccess ? null
                : answer.ReasonCode is MqttClientPublishReasonCode.NotAuthorized or MqttClientPublishReasonCode.TopicNameInvalid
                    ? Delivery.Refused($"The broker does not take {message.Topic}: {answer.ReasonCode}.")
                    : Delivery.Later($"The broker answers {answer.ReasonCode}.");
        }
        catch (Exception fault) when (fault is MqttCommunicationException or MqttClientNotConnectedException or IOException or InvalidOperationException)
        {
            trouble = Delivery.Later(fault.GetBaseException().Message);
        }
        catch (Exception fault)
        {
            trouble = Delivery.Later($"{fault.GetType().Name}: {fault.Message}"); // nobody else would hear of it
        }
        finally
        {
            window.Leave(trouble);
        }
    }

    private MqttClientOptions Options(BrokerMessage will, string password)
    {
        MqttClientOptionsBuilder options = new MqttClientOptionsBuilder()
            .WithTcpServer(_broker.Host, _broker.Port)
            .WithStreamProvider(_wires)
            .WithProtocolVersion(_broker.Version5 ? MqttProtocolVersion.V500 : MqttProtocolVersion.V311)
            .WithClientId(_broker.ClientId)
            .WithCleanSession()
            .WithKeepAlivePeriod(TimeSpan.FromSeconds(10))
            .WithTimeout(_broker.Patience)
            .WithWillTopic(will.Topic)
            .WithWillPayload(will.Payload)
            .WithWillRetain(will.Retain)
            .WithWillQualityOfServiceLevel((MqttQualityOfServiceLevel)will.Quality);
        if (_broker.Version5)
        {
            options.WithSessionExpiryInterval(0);
        }

        if (_broker.User is { } user)
        {
            options.WithCredentials(user, password);
        }

        if (_broker.Tls)
        {
            options.WithTlsOptions(_tls.Apply);
        }

        return options.Build();
    }
}

file static class Sequences
{
    public static byte[] ToArray(this in System.Buffers.ReadOnlySequence<byte> sequence) => System.Buffers.BuffersExtensions.ToArray(sequence);
}
