using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Lines of the chain about what people said, into rows.</summary>
internal static class BookTables
{
    private const string Changes = "id, cell, run, time_ticks, by_whom, reason, changes";
    private const string Decisions = "id, cell, run, time_ticks, kind, by_whom, reason, reference, what";
    private const string Rejudgements = "cell, number, time_ticks, by_whom, reason, software, algorithm, asked, judged, other, not_judged";
    private const string RejudgedRuns = "cell, rejudgement, run, before, after, judged";
    private const string Service = "id, cell, time_ticks, kind, by_whom, remark, amount_ml, lot";

    public static readonly (string Table, string Columns, string Order)[] All =
    [
        ("run_records", "cell, run, product, record", "cell, run"),
        ("run_serials", "serial, cell, run", "serial, cell, run"),
        ("run_changes", Changes, "id"),
        ("decisions", Decisions, "id"),
        ("reference_runs", "cell, run, time_ticks, by_whom, reason, withdrawn_ticks, withdrawn_by, withdrawn_reason", "cell, run, time_ticks"),
        ("service_log", Service, "id"),
        ("rejudgements", Rejudgements, "cell, number"),
        ("rejudged_runs", RejudgedRuns, "cell, rejudgement, run"),
    ];

    /// <summary>Writes what a line says; its number is the row's.</summary>
    /// <exception cref="SqliteException">The file cannot be written.</exception>
    public static void Apply(SqliteConnection connection, ChainLine line)
    {
        switch (line.Kind)
        {
            case ChainKinds.Record when CatalogueTables.Body<RecordBody>(line) is { } said:
                Apply(connection, line.Number, said);
                break;
            case ChainKinds.Decision when CatalogueTables.Body<DecisionBody>(line) is { Decision: { } decision } body:
                CatalogueTables.Put(connection, "INSERT OR IGNORE", "decisions", Decisions, line.Number, body.Cell, body.Run, decision.Time.UtcTicks,
                    decision.Kind.ToString(), decision.By, decision.Reason, decision.Reference, decision.What);
                break;
            case ChainKinds.Reference when CatalogueTables.Body<ReferenceBody>(line) is { } released:
                CatalogueTables.Put(connection, "INSERT OR IGNORE", "reference_runs", "cell, run, time_ticks, by_whom, reason",
                    released.Cell, released.Run, released.Time.UtcTicks, released.By, released.Reason);
                break;
            case ChainKinds.Withdrawn when CatalogueTables.Body<ReferenceBody>(line) is { } withdrawn:
                Execute(connection,
                    "UPDATE reference_runs SET withdrawn_ticks = $time, withdrawn_by = $by, withdrawn_reason = $reason WHERE cell = $cell AND run = $run AND withdrawn_ticks IS NULL",
                    ("$cell", withdrawn.Cell), ("$run", withdrawn.Run), ("$time", withdrawn.Time.UtcTicks), ("$by", withdrawn.By), ("$reason", withdrawn.Reason));
                break;
            case ChainKinds.Service when CatalogueTables.Body<ServiceBody>(line) is { Entry: { } entry } body:
                CatalogueTables.Put(connection, "INSERT OR IGNORE", "service_log", Service, line.Number, body.Cell, entry.Time.UtcTicks, entry.Kind.ToString(),
                    entry.By, entry.Remark, entry.AmountMillilitre, entry.Lot);
                break;
            case ChainKinds.Rejudged when CatalogueTables.Body<Rejudgement>(line) is { } judged:
                Apply(connection, judged);
                break;
        }
    }

    private static void Apply(SqliteConnection connection, long number, RecordBody said)
    {
        CatalogueTables.Put(connection, "INSERT OR REPLACE", "run_records", "cell, run, product, record",
            said.Cell, said.Run, said.Record.Product, JsonSerializer.Serialize(said.Record, RecordJson.Options));
        Execute(connection, "DELETE FROM run_serials WHERE cell = $cell AND run = $run", ("$cell", said.Cell), ("$run", said.Run));
        foreach (string serial in said.Record.Serials)
        {
            CatalogueTables.Put(connection, "INSERT OR IGNORE", "run_serials", "serial, cell, run", serial, said.Cell, said.Run);
        }

        CatalogueTables.Put(connection, "INSERT OR IGNORE", "run_changes", Changes,
            number, said.Cell, said.Run, said.Time.UtcTicks, said.By, said.Reason, JsonSerializer.Serialize(said.Changes, RecordJson.Options));
    }

    private static void Apply(SqliteConnection connection, Rejudgement judged)
    {
        CatalogueTables.Put(connection, "INSERT OR IGNORE", "rejudgements", Rejudgements,
            judged.Cell, judged.Number, judged.Time.UtcTicks, judged.By, judged.Reason, judged.Software, judged.Algorithm,
            JsonSerializer.Serialize(judged.Asked, RecordJson.Options), judged.Runs.Length, judged.Runs.Count(r => r.IsOther), judged.Runs.Count(r => r.Problem is not null));
        foreach (RejudgedRun run in judged.Runs)
        {
            CatalogueTables.Put(connection, "INSERT OR IGNORE", "rejudged_runs", RejudgedRuns,
                judged.Cell, judged.Number, run.Run, run.Before?.ToString(), run.After?.ToString(), JsonSerializer.Serialize(run, RecordJson.Options));
        }
    }

    private static void Execute(SqliteConnection connection, string sql, params ReadOnlySpan<(string Name, object? Value)> parameters)
    {
        using SqliteCommand command = CatalogueDatabase.Command(connection, sql, parameters);
        command.ExecuteNonQuery();
    }
}
