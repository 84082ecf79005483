using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Codecs;

/// <summary>JSON as it stands in records: camelCase, enums by name, times in ticks, numbers bit for bit.</summary>
internal static class RecordJson
{
    public static JsonSerializerOptions Options { get; } = Create();

    private static JsonSerializerOptions Create()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.General)
        {
            PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
            NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
            IgnoreReadOnlyProperties = true,
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase));
        options.Converters.Add(new TimestampConverter());
        options.Converters.Add(new ColdJunctionConverter());
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }

    private sealed class TimestampConverter : JsonConverter<Timestamp>
    {
        public override Timestamp Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => new(reader.GetInt64());

        public override void Write(Utf8JsonWriter writer, Timestamp value, JsonSerializerOptions options) => writer.WriteNumberValue(value.UtcTicks);
    }

    /// <summary><c>{"channel":"cj"}</c> or <c>{"celsius":0}</c>.</summary>
    private sealed class ColdJunctionConverter : JsonConverter<ColdJunctionSource>
    {
        public override ColdJunctionSource Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
        {
            JsonElement element = JsonElement.ParseValue(ref reader);
            return element.TryGetProperty("channel", out JsonElement channel) && channel.GetString() is { } id
                ? new ColdJunctionSource.FromChannel(id)
                : element.TryGetProperty("celsius", out JsonElement celsius)
                    ? new ColdJunctionSource.Fixed(celsius.Deserialize<double>(options))
                    : throw new JsonException("A cold junction names a channel or a temperature.");
        }

        public override void Write(Utf8JsonWriter writer, ColdJunctionSource value, JsonSerializerOptions options)
        {
            writer.WriteStartObject();
            if (value is ColdJunctionSource.Fixed known)
            {
                writer.WritePropertyName("celsius");
                JsonSerializer.Serialize(writer, known.Celsius, options);
            }
            else
            {
                writer.WriteString("channel", ((ColdJunctionSource.FromChannel)value).ChannelId);
            }

            writer.WriteEndObject();
        }
    }
}
