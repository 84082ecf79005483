using System.Text.Json;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Whether the host application that this node waits for is there. An older message never undoes a newer one.</summary>
internal sealed class HostState(string hostId)
{
    private double _timestamp = double.NegativeInfinity;
    private volatile TaskCompletionSource _heard = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public string Topic { get; } = "spBv1.0/STATE/" + hostId;

    public string HostId => hostId;

    public volatile bool IsOnline;

    /// <summary>Ends when the connection has heard of the host, whatever it was.</summary>
    public Task Heard => _heard.Task;

    /// <summary>Forgets what an ended connection has heard; times stay.</summary>
    public void Reset() => (IsOnline, _heard) = (false, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously));

    /// <summary>Takes a message; one that is none changes nothing.</summary>
    public void Take(ReadOnlySpan<byte> payload)
    {
        try
        {
            var reader = new Utf8JsonReader(payload);
            using var json = JsonDocument.ParseValue(ref reader);
            if (json.RootElement.ValueKind == JsonValueKind.Object
                && json.RootElement.TryGetProperty("online", out JsonElement online) && online.ValueKind is JsonValueKind.True or JsonValueKind.False
                && json.RootElement.TryGetProperty("timestamp", out JsonElement time) && time.ValueKind == JsonValueKind.Number && time.GetDouble() is var stamp)
            {
                (_timestamp, IsOnline) = stamp >= _timestamp ? (stamp, online.GetBoolean()) : (_timestamp, IsOnline);
                _heard.TrySetResult();
            }
        }
        catch (JsonException)
        {
            // Not a host's message.
        }
    }
}
