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
        options.Converters.Add(new AnalogueLawConverter());
        options.Converters.Add(new CalibrationHistoryConverter());
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }

    private sealed class TimestampConverter : JsonConverter<Timestamp>
    {
        public override Timestamp Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => new(reader.GetInt64());

        public override void Write(Utf8JsonWriter writer, Timestamp value, JsonSerializerOptions options) => writer.WriteNumberValue(value.UtcTicks);
    }
}
