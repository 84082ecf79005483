using System.Buffers;
using System.Text.Json;
using MQTTnet;
using MQTTnet.Protocol;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>Somebody who listens to the readings of a cell at a broker for as long as the test lasts.</summary>
internal sealed class Subscriber : IAsyncDisposable
{
    private readonly IMqttClient _client = new MqttClientFactory().CreateMqttClient();
    private readonly Lock _gate = new();
    private readonly List<(long Sequence, long TimeMs, Dictionary<string, double> Values)> _scans = [];

    /// <summary>In the order of arrival; repeats too.</summary>
    public IReadOnlyList<(long Sequence, long TimeMs, Dictionary<string, double> Values)> Scans
    {
        get
        {
            lock (_gate)
            {
                return [.. _scans];
            }
        }
    }

    public static async Task<Subscriber> StartAsync(int port)
    {
        var subscriber = new Subscriber();
        subscriber._client.ApplicationMessageReceivedAsync += e =>
        {
            subscriber.Take(JsonSerializer.Deserialize<JsonElement>(e.ApplicationMessage.Payload.ToArray()));
            return Task.CompletedTask;
        };
        await subscriber._client.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", port).WithClientId("subscriber").Build());
        await subscriber._client.SubscribeAsync("plant/cells/1/readings", MqttQualityOfServiceLevel.AtLeastOnce);
        return subscriber;
    }

    public async ValueTask DisposeAsync()
    {
        await _client.DisconnectAsync();
        _client.Dispose();
    }

    private void Take(JsonElement message)
    {
        lock (_gate)
        {
            foreach (JsonElement scan in message.GetProperty("scans").EnumerateArray())
            {
                long ticks = scan.GetProperty("t").GetDateTimeOffset().UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks;
                _scans.Add((
                    scan.GetProperty("seq").GetInt64(), ticks / TimeSpan.TicksPerMillisecond,
                    scan.GetProperty("values").EnumerateObject().Where(v => v.Value.ValueKind == JsonValueKind.Number).ToDictionary(v => v.Name, v => v.Value.GetDouble())));
            }
        }
    }
}
