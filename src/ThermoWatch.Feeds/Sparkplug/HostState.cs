using System.Text.Json;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Whether the host application that this node waits for is there. An older message never undoes a newer one.</summary>
internal sealed class HostState(string hostId)
{
    private double _timestamp = double.NegativeInfinity;

    public string Topic { get; } = "spBv1.0/STATE/" + hostId;

    public string HostId => hostId;

    public volatile bool IsOnline;

    /// <summary>Forgets what an ended connection has heard; times stay.</summary>
    public void Reset() => IsOnline = false;

    /// <summary>Takes a message; one that is none changes nothing.</summary>
    public void Take(ReadOnlySpan<byte> payload)
    {
        try
        {
            var reader = new Utf8JsonReader(payload);
            using var json = JsonDocument.ParseValue(ref reader);
            if (json.RootElement.ValueKind == JsonValueKind.Object
                && json.RootElement.TryGetProperty("online", out JsonElement online) && online.ValueKind is JsonValueKind.True or JsonValueKind.False
                && json.RootElement.TryGetProperty("timestamp", out JsonElement time) && time.ValueKind == JsonValueKind.Number && time.GetDouble() is var stamp && stamp >= _timestamp)
            {
                (_timestamp, IsOnline) = (stamp, online.GetBoolean());
            }
        }
        catch (JsonException)
        {
            // Not a host's message.
        }
    }
}
