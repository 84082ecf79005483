using System.Collections.Immutable;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Runs and alarm history of a node, in SQLite: what is asked for by its contents.</summary>
/// <remarks>
/// WAL with full synchronisation: what a call has returned from outlives a power cut, and readers never wait for the writer.
/// May be used from any thread. A broken disk is a <see cref="SqliteException"/> with the reason; nothing is half written.
/// </remarks>
public sealed class RunCatalogue : IDisposable
{
    private const string RunColumns =
        "cell, number, carrier, start_ticks, end_ticks, end_reason, first_sequence, last_sequence, spec_name, spec_version, verdict, reasons, figures, phases, notes, kind, recipe, load, start_reason";

    private const string LastDecision = "(SELECT d.kind FROM decisions d WHERE d.cell = runs.cell AND d.run = runs.number ORDER BY d.id DESC LIMIT 1)";

    private readonly CatalogueFile _file;

    private RunCatalogue(CatalogueFile file)
    {
        _file = file;
        Book = new RunBook(file);
    }

    /// <summary>What people have said of runs and of the machine.</summary>
    public RunBook Book { get; }

    /// <summary>What opening found damaged and what was done about it; null if nothing was.</summary>
    public string? Loss => _file.Loss;

    /// <summary>Opens the file or makes it, and carries an older one forward.</summary>
    /// <param name="path">As <see cref="DataFolder.CataloguePath"/>.</param>
    /// <param name="time">Stamps migrations.</param>
    /// <exception cref="InvalidDataException">It was written by a newer program.</exception>
    /// <exception cref="SqliteException">The file cannot be opened or made.</exception>
    public static RunCatalogue Open(string path, TimeProvider time) => new(CatalogueFile.Open(path, time));

    /// <summary>Writes a run, whole; over the one of the same cell and number if there is one.</summary>
    public void Save(RunRow run) => _file.Write(
        $"INSERT INTO runs ({RunColumns}) VALUES ($cell, $number, $carrier, $start, $end, $endReason, $first, $last, $specName, $specVersion, $verdict, $reasons, $figures, $phases, $notes, $kind, $recipe, $load, $startReason) "
        + "ON CONFLICT (cell, number) DO UPDATE SET carrier = excluded.carrier, start_ticks = excluded.start_ticks, end_ticks = excluded.end_ticks, end_reason = excluded.end_reason, "
        + "first_sequence = excluded.first_sequence, last_sequence = excluded.last_sequence, spec_name = excluded.spec_name, spec_version = excluded.spec_version, "
        + "verdict = excluded.verdict, reasons = excluded.reasons, figures = excluded.figures, phases = excluded.phases, notes = excluded.notes, "
        + "kind = excluded.kind, recipe = excluded.recipe, load = excluded.load, start_reason = excluded.start_reason",
        ("$cell", run.Cell), ("$number", run.Number), ("$carrier", run.Carrier), ("$start", run.Start.UtcTicks), ("$end", run.End?.UtcTicks), ("$endReason", run.EndReason),
        ("$first", run.FirstSequence), ("$last", run.LastSequence), ("$specName", run.SpecName), ("$specVersion", run.SpecVersion), ("$verdict", run.Verdict?.ToString()),
        ("$reasons", ToJson(run.Reasons)), ("$figures", ToJson(run.Figures)), ("$phases", ToJson(run.Phases)), ("$notes", ToJson(run.Notes)),
        ("$kind", JsonNamingPolicy.CamelCase.ConvertName(run.Kind.ToString())), ("$recipe", run.Recipe), ("$load", run.Load), ("$startReason", run.StartReason));

    /// <summary>The newest runs of a cell, newest first.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="count">How many at most.</param>
    public IReadOnlyList<RunRow> Latest(int cell, int count) =>
        _file.Read($"SELECT {RunColumns} FROM runs WHERE cell = $cell ORDER BY number DESC LIMIT $count", ReadRun, ("$cell", cell), ("$count", count));

    /// <summary>One run; null if there is none of that number.</summary>
    public RunRow? Find(int cell, long number) =>
        _file.Read($"SELECT {RunColumns} FROM runs WHERE cell = $cell AND number = $number", ReadRun, ("$cell", cell), ("$number", number)).FirstOrDefault();

    /// <summary>Runs that overlap a span, by number.</summary>
    public IReadOnlyList<RunRow> Between(int cell, Timestamp from, Timestamp to) => _file.Read(
        $"SELECT {RunColumns} FROM runs WHERE cell = $cell AND start_ticks <= $to AND (end_ticks IS NULL OR end_ticks >= $from) ORDER BY number", ReadRun,
        ("$cell", cell), ("$from", from.UtcTicks), ("$to", to.UtcTicks));

    /// <summary>Runs that fit a question, newest first.</summary>
    public IReadOnlyList<RunRow> Search(RunQuery query) => _file.Read(
        $"SELECT {RunColumns} FROM runs WHERE cell = $cell AND ($before IS NULL OR number < $before) AND ($verdict IS NULL OR verdict = $verdict) "
        + "AND ($spec IS NULL OR instr(lower(spec_name), lower($spec)) > 0) AND ($carrier IS NULL OR carrier = $carrier) "
        + "AND ($from IS NULL OR end_ticks IS NULL OR end_ticks >= $from) AND ($to IS NULL OR start_ticks <= $to) "
        + "AND ($product IS NULL OR EXISTS (SELECT 1 FROM run_records r WHERE r.cell = runs.cell AND r.run = runs.number AND instr(lower(r.product), lower($product)) > 0)) "
        + "AND ($serial IS NULL OR EXISTS (SELECT 1 FROM run_serials s WHERE s.serial = $serial AND s.cell = runs.cell AND s.run = runs.number)) "
        + $"AND ($decision IS NULL OR {LastDecision} = $decision) "
        + $"AND ($open = 0 OR (end_ticks IS NOT NULL AND CASE {LastDecision} WHEN 'Hold' THEN 1 WHEN 'Inspect' THEN 1 ELSE {LastDecision} IS NULL AND verdict IS NOT 'Pass' END)) "
        + "ORDER BY number DESC LIMIT $count",
        ReadRun,
        ("$cell", query.Cell), ("$before", query.Before), ("$verdict", query.Verdict?.ToString()), ("$spec", query.SpecContains), ("$carrier", query.Carrier),
        ("$from", query.From?.UtcTicks), ("$to", query.To?.UtcTicks), ("$product", query.ProductContains), ("$serial", query.Serial),
        ("$decision", query.Decision?.ToString()), ("$open", query.Open ? 1 : 0), ("$count", query.Limit));

    /// <summary>Numbers of the runs of a cell next to one; null where there is none.</summary>
    public (long? Previous, long? Next) Neighbours(int cell, long number) => _file.Read(
        "SELECT (SELECT max(number) FROM runs WHERE cell = $cell AND number < $number), (SELECT min(number) FROM runs WHERE cell = $cell AND number > $number)",
        row => (Number(row, 0), Number(row, 1)), ("$cell", cell), ("$number", number))[0];

    /// <summary>Adds a step of an alarm to the history; a step that is there already, found again by a replay, stays as it is.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="alarm">What happened.</param>
    public void SaveAlarm(int cell, AlarmEvent alarm) => _file.Write(
        "INSERT OR IGNORE INTO alarm_events (cell, time_ticks, alarm_id, condition, channel, state, predicted, value, limit_value, run) VALUES ($cell, $time, $id, $condition, $channel, $state, $predicted, $value, $limit, $run)",
        ("$cell", cell), ("$time", alarm.Time.UtcTicks), ("$id", alarm.AlarmId), ("$condition", alarm.Condition), ("$channel", alarm.ChannelId), ("$state", alarm.State.ToString()),
        ("$predicted", alarm.Predicted ? 1 : 0), ("$value", Finite(alarm.Value)), ("$limit", Finite(alarm.Limit)), ("$run", alarm.Run));

    /// <summary>Steps of alarms of a cell, newest first.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="before">Only steps with a lower id.</param>
    /// <param name="count">How many at most.</param>
    public IReadOnlyList<AlarmStep> Alarms(int cell, long before, int count) => _file.Read(
        "SELECT time_ticks, alarm_id, condition, channel, state, predicted, value, limit_value, run, id FROM alarm_events WHERE cell = $cell AND id < $before ORDER BY id DESC LIMIT $count",
        row => new AlarmStep(row.GetInt64(9), new AlarmEvent(
            new Timestamp(row.GetInt64(0)), row.GetString(1), row.GetString(2), Text(row, 3), Enum.Parse<AlarmState>(row.GetString(4)), row.GetInt64(5) != 0,
            row.IsDBNull(6) ? null : row.GetDouble(6), row.IsDBNull(7) ? null : row.GetDouble(7), Number(row, 8))),
        ("$cell", cell), ("$before", before), ("$count", count));

    /// <summary>Closes the file.</summary>
    public void Dispose() => _file.Dispose();

    private static RunRow ReadRun(SqliteDataReader row) => new()
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
    };

    // A double that is no number has no place in a column, and none of the readers could do anything with it.
    private static double? Finite(double? value) => value is { } number && double.IsFinite(number) ? number : null;

    private static string? Text(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);

    private static long? Number(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetInt64(column);

    private static string ToJson<T>(ImmutableArray<T> items) => JsonSerializer.Serialize(items.IsDefault ? [] : items, RecordJson.Options);

    private static ImmutableArray<T> FromJson<T>(string json) => JsonSerializer.Deserialize<ImmutableArray<T>>(json, RecordJson.Options);
}
