using System.Collections.Immutable;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Lines of the chain into rows, and rows back. The tables hold nothing that the chain does not say.</summary>
internal static class CatalogueTables
{
    public const string RunColumns =
        "cell, number, carrier, start_ticks, end_ticks, end_reason, first_sequence, last_sequence, spec_name, spec_version, verdict, reasons, figures, phases, notes, kind, recipe, load, start_reason, algorithm";

    public const string AlarmColumns = "cell, time_ticks, alarm_id, condition, channel, state, predicted, value, limit_value, run, signal, priority, by_whom, comment, until_ticks, deadline_ticks, figure";

    /// <summary>Every table that the chain fills, in an order that is the same whoever filled it.</summary>
    public static readonly (string Table, string Columns, string Order)[] All =
    [
        ("runs", RunColumns, "cell, number"),
        ("alarm_events", AlarmColumns, "id"),
        ("audit", "number, time_ticks, who, station, action, subject, before, after, reason", "number"),
        ("spec_versions", "name, version, json, added_ticks, added_by", "name, version"),
        ("configuration_versions", "number, json, time_ticks, by_whom", "number"),
        ("seals", "cell, last_sequence, hash", "cell, last_sequence"),
        ("removals", "number, cell, first_sequence, last_sequence, time_ticks, who, why, run", "number"),
        ("node_keys", "number, public_key", "number"),
        .. BookTables.All,
    ];

    /// <summary>Writes what a line says. A kind that a later program invented says nothing to this one.</summary>
    /// <exception cref="SqliteException">The file cannot be written.</exception>
    public static void Apply(SqliteConnection connection, ChainLine line)
    {
        switch (line.Kind)
        {
            case ChainKinds.Run when Body<RunRow>(line) is { } run:
                Put(connection, "INSERT OR REPLACE", "runs", RunColumns, run.Cell, run.Number, run.Carrier, run.Start.UtcTicks, run.End?.UtcTicks, run.EndReason, run.FirstSequence,
                    run.LastSequence, run.SpecName, run.SpecVersion, run.Verdict?.ToString(), ToJson(run.Reasons), ToJson(run.Figures), ToJson(run.Phases), ToJson(run.Notes),
                    JsonNamingPolicy.CamelCase.ConvertName(run.Kind.ToString()), run.Recipe, run.Load, run.StartReason, run.Algorithm);
                break;
            case ChainKinds.Alarm when Body<AlarmBody>(line) is { } alarm:
                Put(connection, "INSERT OR IGNORE", "alarm_events", AlarmColumns, alarm.Cell, alarm.Time.UtcTicks, alarm.AlarmId, alarm.Condition, alarm.ChannelId, alarm.State.ToString(),
                    alarm.Predicted ? 1 : 0, alarm.Value, alarm.Limit, alarm.Run, alarm.SignalOrThatOfItsState.ToString(), alarm.Priority.ToString(), alarm.By, alarm.Comment,
                    alarm.Until?.UtcTicks, alarm.Deadline?.UtcTicks, alarm.Figure);
                break;
            case ChainKinds.Audit when Body<AuditEntry>(line) is { } audit:
                Put(connection, "INSERT OR IGNORE", "audit", All[2].Columns, line.Number, audit.Time.UtcTicks, audit.Who, audit.Station, audit.Action, audit.Subject, audit.Before, audit.After, audit.Reason);
                break;
            case ChainKinds.Spec when Body<SpecVersion>(line) is { } spec:
                Put(connection, "INSERT OR IGNORE", "spec_versions", All[3].Columns, spec.Name, spec.Version, spec.Json, spec.Added.UtcTicks, spec.By);
                break;
            case ChainKinds.Configuration when Body<ConfigurationVersion>(line) is { } configuration:
                Put(connection, "INSERT OR IGNORE", "configuration_versions", All[4].Columns, configuration.Number, configuration.Json, configuration.Time.UtcTicks, configuration.By);
                break;
            case ChainKinds.Sealed when Body<SealedUpTo>(line) is { } seal:
                Put(connection, "INSERT OR IGNORE", "seals", All[5].Columns, seal.Cell, seal.LastSequence, seal.Hash);
                break;
            case ChainKinds.Removed when Body<RemovedEntriesNote>(line) is { } removed:
                Put(connection, "INSERT OR IGNORE", "removals", All[6].Columns, line.Number, removed.Cell, removed.FirstSequence, removed.LastSequence, removed.Time.UtcTicks, removed.Who, removed.Why, removed.Run);
                break;
            case ChainKinds.Record or ChainKinds.Decision or ChainKinds.Reference or ChainKinds.Withdrawn or ChainKinds.Service or ChainKinds.Rejudged:
                BookTables.Apply(connection, line);
                break;
            case ChainKinds.Key when Body<KeyBody>(line) is { } key:
                Put(connection, "INSERT OR IGNORE", "node_keys", All[7].Columns, line.Number, key.PublicKey);
                break;
        }
    }

    /// <summary>Empties every table that the chain fills.</summary>
    public static void Clear(SqliteConnection connection) => Array.ForEach(All, table => CatalogueDatabase.Execute(connection, $"DELETE FROM {table.Table}"));

    public static RunRow ReadRun(SqliteDataReader row) => new()
    {
        Cell = row.GetInt32(0),
        Number = row.GetInt64(1),
        Carrier = row.GetString(2),
        Start = new Timestamp(row.GetInt64(3)),
        End = Number(row, 4) is { } end ? new Timestamp(end) : null,
        EndReason = Text(row, 5),
        FirstSequence = row.GetInt64(6),
        LastSequence = Number(row, 7),
        SpecName = Text(row, 8),
        SpecVersion = (int?)Number(row, 9),
        Verdict = Text(row, 10) is { } verdict ? Enum.Parse<Verdict>(verdict) : null,
        Reasons = FromJson<string>(row.GetString(11)),
        Figures = FromJson<FigureResult>(row.GetString(12)),
        Phases = FromJson<PhaseSpan>(row.GetString(13)),
        Notes = FromJson<string>(row.GetString(14)),
        Kind = Enum.Parse<RunKind>(row.GetString(15), ignoreCase: true),
        Recipe = (int?)Number(row, 16),
        Load = (int?)Number(row, 17),
        StartReason = row.GetString(18),
        Algorithm = row.GetString(19),
    };

    public static AlarmBody ReadAlarm(SqliteDataReader row) => new(row.GetInt32(0), new Timestamp(row.GetInt64(1)), row.GetString(2), row.GetString(3), Text(row, 4),
        Enum.Parse<AlarmState>(row.GetString(5)), row.GetInt64(6) != 0, row.IsDBNull(7) ? null : row.GetDouble(7), row.IsDBNull(8) ? null : row.GetDouble(8), Number(row, 9))
    {
        Signal = Enum.Parse<AlarmSignal>(row.GetString(10)),
        Priority = Enum.Parse<AlarmPriority>(row.GetString(11)),
        By = row.GetString(12),
        Comment = row.GetString(13),
        Until = Number(row, 14) is { } until ? new Timestamp(until) : null,
        Deadline = Number(row, 15) is { } deadline ? new Timestamp(deadline) : null,
        Figure = Text(row, 16),
    };

    /// <summary>Names the first row in which a table is not the other; null if there is none.</summary>
    public static string? FirstDifference(SqliteConnection found, SqliteConnection wanted, (string Table, string Columns, string Order) table)
    {
        string sql = $"SELECT {table.Columns} FROM {table.Table} ORDER BY {table.Order}";
        using SqliteCommand one = CatalogueDatabase.Command(found, sql), other = CatalogueDatabase.Command(wanted, sql);
        using SqliteDataReader a = one.ExecuteReader(), b = other.ExecuteReader();
        for (long number = 1; ; number++)
        {
            (bool isThere, bool isWanted) = (a.Read(), b.Read());
            if (!isThere && !isWanted)
            {
                return null;
            }

            if (!isThere || !isWanted)
            {
                return $"table {table.Table}: row {number} is {(isThere ? "not in the chain of events" : "missing; the chain of events has it")}";
            }

            for (int column = 0; column < a.FieldCount; column++)
            {
                if (!Equals(a.GetValue(column), b.GetValue(column)))
                {
                    return $"table {table.Table}: row {number}, column {a.GetName(column)} is not what the chain of events says";
                }
            }
        }
    }

    internal static void Put(SqliteConnection connection, string verb, string table, string columns, params ReadOnlySpan<object?> values)
    {
        string[] names = columns.Split(", ");
        using SqliteCommand command = CatalogueDatabase.Command(connection, $"{verb} INTO {table} ({columns}) VALUES ({string.Join(", ", names.Select(name => "$" + name))})");
        for (int i = 0; i < names.Length; i++)
        {
            command.Parameters.AddWithValue("$" + names[i], values[i] ?? DBNull.Value);
        }

        command.ExecuteNonQuery();
    }

    /// <summary>What a line says; null if it cannot be understood, which verifying names.</summary>
    internal static T? Body<T>(ChainLine line)
        where T : class
    {
        try
        {
            return JsonSerializer.Deserialize<T>(line.Body, RecordJson.Options);
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static string? Text(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);

    private static long? Number(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetInt64(column);

    private static string ToJson<T>(ImmutableArray<T> items) => JsonSerializer.Serialize(items.IsDefault ? [] : items, RecordJson.Options);

    private static ImmutableArray<T> FromJson<T>(string json) => JsonSerializer.Deserialize<ImmutableArray<T>>(json, RecordJson.Options);
}
