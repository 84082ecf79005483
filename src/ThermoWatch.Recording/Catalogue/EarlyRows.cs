using System.Collections.Immutable;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Rows of a store from before there was a chain (versions 1 and 2), as the chain would have told them.</summary>
internal static class EarlyRows
{
    /// <summary>Every row as a line, in an order in which applying them gives the same rows again.</summary>
    /// <exception cref="SqliteException">The file cannot be read.</exception>
    public static List<(string Kind, byte[] Body)> BodiesOf(SqliteConnection connection) =>
    [
        .. Read(connection, ChainKinds.Run, $"SELECT {CatalogueTables.RunColumns} FROM runs ORDER BY cell, number", CatalogueTables.ReadRun),
        .. Read(connection, ChainKinds.Alarm, $"SELECT {CatalogueTables.AlarmColumns} FROM alarm_events ORDER BY id", CatalogueTables.ReadAlarm),

        // Only the newest record of a run was kept: each of its changes carries that one.
        .. Read(connection, ChainKinds.Record,
            "SELECT c.cell, c.run, c.time_ticks, c.by_whom, c.reason, r.record, c.changes FROM run_changes c JOIN run_records r ON r.cell = c.cell AND r.run = c.run ORDER BY c.id",
            row => new RecordBody(row.GetInt32(0), row.GetInt64(1), new Timestamp(row.GetInt64(2)), row.GetString(3), row.IsDBNull(4) ? null : row.GetString(4),
                FromJson<RunRecord>(row.GetString(5)), FromJson<ImmutableArray<FieldChange>>(row.GetString(6)))),
        .. Read(connection, ChainKinds.Decision, "SELECT time_ticks, kind, by_whom, reason, reference, what, cell, run FROM decisions ORDER BY id",
            row => new DecisionBody(row.GetInt32(6), row.GetInt64(7), RunBook.ReadDecision(row))),
        .. References(connection),
        .. Read(connection, ChainKinds.Service, "SELECT cell, time_ticks, kind, by_whom, remark, amount_ml, lot FROM service_log ORDER BY id",
            row => new ServiceBody(row.GetInt32(0), RunBook.ReadService(row))),
    ];

    /// <summary>Each release, and what took it back before the next one of the same run.</summary>
    private static IEnumerable<(string Kind, byte[] Body)> References(SqliteConnection connection)
    {
        using SqliteCommand query = CatalogueDatabase.Command(connection,
            "SELECT cell, run, time_ticks, by_whom, reason, withdrawn_ticks, withdrawn_by, withdrawn_reason FROM reference_runs ORDER BY cell, run, time_ticks");
        using SqliteDataReader row = query.ExecuteReader();
        while (row.Read())
        {
            (int cell, long run) = (row.GetInt32(0), row.GetInt64(1));
            yield return (ChainKinds.Reference, ToJson(new ReferenceBody(cell, run, new Timestamp(row.GetInt64(2)), row.GetString(3), row.GetString(4))));
            if (!row.IsDBNull(5))
            {
                yield return (ChainKinds.Withdrawn, ToJson(new ReferenceBody(cell, run, new Timestamp(row.GetInt64(5)), row.GetString(6), row.GetString(7))));
            }
        }
    }

    private static IEnumerable<(string Kind, byte[] Body)> Read<T>(SqliteConnection connection, string kind, string sql, Func<SqliteDataReader, T> read)
    {
        using SqliteCommand query = CatalogueDatabase.Command(connection, sql);
        using SqliteDataReader row = query.ExecuteReader();
        while (row.Read())
        {
            yield return (kind, ToJson(read(row)));
        }
    }

    private static byte[] ToJson<T>(T body) => JsonSerializer.SerializeToUtf8Bytes(body, RecordJson.Options);

    private static T FromJson<T>(string json) => JsonSerializer.Deserialize<T>(json, RecordJson.Options)!;
}
