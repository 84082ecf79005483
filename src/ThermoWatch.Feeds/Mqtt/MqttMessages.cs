using System.Buffers;
using System.Text.Encodings.Web;
using System.Text.Json;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Feeds.Mqtt;

/// <summary>Items as JSON. Times are RFC 3339 with the record's seven decimals; units °C, mbar, mV or pure numbers.</summary>
internal static class MqttMessages
{
    private static readonly JsonWriterOptions s_options = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping, SkipValidation = true };

    /// <summary>Newest reading of a channel.</summary>
    public static byte[] Last(ChannelDefinition channel, Reading reading) => Write(json =>
    {
        json.WriteStartObject();
        json.WriteString("t", reading.Time.ToString());
        Number(json, "value", HasValue(reading) ? reading.Value : null);
        json.WriteString("unit", channel.Unit switch { MeasuredUnit.DegreeCelsius => "degC", MeasuredUnit.Millibar => "mbar", MeasuredUnit.Millivolt => "mV", _ => "1" });
        json.WriteString("quality", reading.Quality.ToString());
        json.WriteEndObject();
    });

    /// <summary>A run.</summary>
    public static byte[] Run(FedRun run) => Write(json => WriteRun(json, run));

    /// <summary>A step of an alarm.</summary>
    public static byte[] Alarm(AlarmItem item) => Write(json => WriteAlarm(json, item));

    /// <summary>Whether the feed is there.</summary>
    public static byte[] Status(bool online) => online ? """{"online":true}"""u8.ToArray() : """{"online":false}"""u8.ToArray();

    internal static void WriteRun(Utf8JsonWriter json, FedRun run)
    {
        json.WriteStartObject();
        json.WriteNumber("cell", run.Cell);
        json.WriteNumber("run", run.Number);
        json.WriteString("carrier", run.Carrier);
        json.WriteString("kind", Camel(run.Kind.ToString()));
        json.WriteString("start", run.Start.ToString());
        json.WriteString("end", run.End?.ToString());
        json.WriteString("spec", run.SpecName);
        Number(json, "specVersion", run.SpecVersion);
        json.WriteString("verdict", run.Verdict is { } verdict ? Camel(verdict.ToString()) : null);
        json.WriteStartArray("reasons");
        foreach (string reason in run.Reasons)
        {
            json.WriteStringValue(reason);
        }

        json.WriteEndArray();
        json.WriteStartArray("figures");
        foreach (FigureResult figure in run.Figures)
        {
            json.WriteStartObject();
            json.WriteString("figure", figure.Figure);
            json.WriteString("channel", figure.ChannelId);
            Number(json, "value", figure.Value);
            json.WriteString("unit", figure.Unit);
            Number(json, "lower", figure.Lower);
            Number(json, "upper", figure.Upper);
            json.WriteString("verdict", figure.Verdict is { } of ? Camel(of.ToString()) : null);
            Number(json, "U", figure.U);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    internal static void WriteAlarm(Utf8JsonWriter json, AlarmItem item)
    {
        AlarmEvent alarm = item.Alarm;
        json.WriteStartObject();
        json.WriteNumber("cell", item.Cell);
        json.WriteString("t", alarm.Time.ToString());
        json.WriteString("alarm", alarm.AlarmId);
        json.WriteString("condition", alarm.Condition);
        json.WriteString("channel", alarm.ChannelId);
        json.WriteString("state", Camel(alarm.State.ToString()));
        json.WriteString("priority", Camel(alarm.Priority.ToString()));
        json.WriteBoolean("predicted", alarm.Predicted);
        Number(json, "value", alarm.Value);
        Number(json, "limit", alarm.Limit);
        AlarmTelling? telling = item.Definition is { } cell ? AlarmTelling.Of(alarm, cell) : null;
        json.WriteString("unit", telling?.Unit is { Length: > 0 } unit ? unit : null);
        json.WriteString("figure", alarm.Figure);
        Number(json, "run", alarm.Run);
        json.WriteString("signal", Camel(alarm.Signal.ToString()));
        json.WriteString("by", alarm.By);
        json.WriteString("comment", alarm.Comment);
        json.WriteString("until", alarm.Until?.ToString());
        if (telling is not null)
        {
            WriteWords(json, telling);
            json.WriteStartObject("de");
            WriteWords(json, AlarmTelling.Of(alarm, item.Definition!, AlarmLanguage.German));
            json.WriteEndObject();
        }

        json.WriteEndObject();
    }

    private static void WriteWords(Utf8JsonWriter json, AlarmTelling telling)
    {
        json.WriteString("where", telling.Where);
        json.WriteString("what", telling.What);
        json.WriteString("consequence", telling.Consequence);
        json.WriteString("action", telling.Action);
    }

    internal static byte[] Write(Action<Utf8JsonWriter> write)
    {
        var buffer = new ArrayBufferWriter<byte>(1024);
        using (var json = new Utf8JsonWriter(buffer, s_options))
        {
            write(json);
        }

        return buffer.WrittenSpan.ToArray();
    }

    internal static bool HasValue(in Reading reading) => reading.Quality.HasValue && double.IsFinite(reading.Value);

    private static void Number(Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number && double.IsFinite(number))
        {
            json.WriteNumber(name, number);
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static string Camel(string name) => char.ToLowerInvariant(name[0]) + name[1..];
}
