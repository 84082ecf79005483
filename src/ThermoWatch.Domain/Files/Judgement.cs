using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Files;

/// <summary>Writes what was found about a run as JSON.</summary>
public static class Judgement
{
    /// <summary>Version of the rules by which figures are computed. A change that can move a figure counts it up.</summary>
    public const string Algorithm = "4";

    /// <summary>Writes a whole judgement as one object.</summary>
    /// <param name="json">Where to.</param>
    /// <param name="run">The ended run.</param>
    /// <param name="origin">The moment that counts as second zero.</param>
    /// <param name="software">Name and version of the program.</param>
    /// <param name="file">Name of the file, written first; null: none.</param>
    public static void Write(Utf8JsonWriter json, RunPicture run, Timestamp origin, string software, string? file)
    {
        ArgumentNullException.ThrowIfNull(json);
        ArgumentNullException.ThrowIfNull(run);
        json.WriteStartObject();
        if (file is not null)
        {
            json.WriteString("file", file);
        }

        json.WriteString("verdict", Name(run.Verdict));
        WriteTexts(json, "reasons", run.Reasons);
        json.WriteStartObject("spec");
        json.WriteString("name", run.SpecName);
        Number(json, "version", run.SpecVersion);
        json.WriteEndObject();
        json.WriteStartArray("figures");
        foreach (FigureResult figure in run.Figures)
        {
            json.WriteStartObject();
            WriteFigure(json, figure);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteStartArray("phases");
        foreach (PhaseSpan phase in run.Phases)
        {
            json.WriteStartObject();
            json.WriteString("phase", phase.Name);
            json.WriteNumber("start_s", phase.Start.SecondsSince(origin));
            Number(json, "end_s", phase.End?.SecondsSince(origin));
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteString("software", software);
        json.WriteString("algorithm", Algorithm);
        json.WriteEndObject();
    }

    /// <summary>Writes one event as an object with its time in seconds; false if the contract has no such line.</summary>
    /// <param name="json">Where to.</param>
    /// <param name="found">The event.</param>
    /// <param name="origin">The moment that counts as second zero.</param>
    public static bool WriteEvent(Utf8JsonWriter json, EngineEvent found, Timestamp origin)
    {
        ArgumentNullException.ThrowIfNull(json);
        ArgumentNullException.ThrowIfNull(found);
        string? kind = found switch { RunEvent => "run", PhaseEvent => "phase", AlarmEvent => "alarm", FigureEvent => "figure", _ => null };
        if (kind is null)
        {
            return false;
        }

        json.WriteStartObject();
        json.WriteNumber("t", found.Time.SecondsSince(origin));
        json.WriteString("event", kind);
        switch (found)
        {
            case RunEvent run:
                json.WriteString("state", Name<RunState>(run.State));
                break;
            case PhaseEvent phase:
                json.WriteString("name", phase.Phase.Name);
                break;
            case AlarmEvent alarm:
                WriteAlarm(json, alarm);
                break;
            case FigureEvent figure:
                WriteFigure(json, figure.Figure);
                break;
            default:
                break;
        }

        json.WriteEndObject();
        return true;
    }

    /// <summary>As written in files: the name with a small first letter; null for null.</summary>
    public static string? Name<T>(T? value)
        where T : struct, Enum => value?.ToString() is { } name ? char.ToLowerInvariant(name[0]) + name[1..] : null;

    private static void WriteFigure(Utf8JsonWriter json, FigureResult figure)
    {
        json.WriteString("figure", figure.Figure);
        json.WriteString("channel", figure.ChannelId);
        Number(json, "value", figure.Value);
        Number(json, "low", figure.Low);
        Number(json, "high", figure.High);
        json.WriteString("unit", figure.Unit);
        Number(json, "lower", figure.Lower);
        Number(json, "upper", figure.Upper);
        json.WriteString("verdict", Name(figure.Verdict));
        json.WriteString("reason", figure.Reason);
        WriteTexts(json, "notes", figure.Notes);
        Number(json, "margin", figure.Margin);
        Number(json, "U", figure.U);
        json.WriteString("severity", Name(figure.Severity));
        json.WriteString("decidedBy", figure.DecidedBy);
    }

    private static void WriteAlarm(Utf8JsonWriter json, AlarmEvent alarm)
    {
        json.WriteString("condition", alarm.Condition);
        json.WriteString("channel", alarm.ChannelId);
        json.WriteString("state", alarm.State switch // as in the alarm table
        {
            Alarms.AlarmState.ReturnedUnacknowledged => "rtn_unacknowledged",
            Alarms.AlarmState.LatchedUnacknowledged => "latched_unacknowledged",
            Alarms.AlarmState.LatchedAcknowledged => "latched_acknowledged",
            Alarms.AlarmState.SuppressedByDesign => "suppressed_by_design",
            Alarms.AlarmState.OutOfService => "out_of_service",
            _ => Name<Alarms.AlarmState>(alarm.State),
        });
        json.WriteBoolean("predicted", alarm.Predicted);
        json.WriteString("figure", alarm.Figure);
        Number(json, "value", alarm.Value);
        Number(json, "limit", alarm.Limit);
        Number(json, "timeToAct_s", alarm.Deadline?.SecondsSince(alarm.Time));
    }

    private static void WriteTexts(Utf8JsonWriter json, string key, IEnumerable<string> texts)
    {
        json.WriteStartArray(key);
        foreach (string text in texts)
        {
            json.WriteStringValue(text);
        }

        json.WriteEndArray();
    }

    private static void Number(Utf8JsonWriter json, string key, double? value)
    {
        // JSON has no infinity: what is without bound is not known.
        if (value is { } number && double.IsFinite(number))
        {
            json.WriteNumber(key, number);
        }
        else
        {
            json.WriteNull(key);
        }
    }
}
