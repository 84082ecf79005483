using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Runs and alarm history of a node, in SQLite: what is asked for by its contents.</summary>
/// <remarks>
/// Everything is first written into the chain of events beside the file, and flushed: what a call has returned from outlives a
/// power cut, and the tables can be made again from it. Readers never wait for the writer. May be used from any thread.
/// </remarks>
public sealed partial class RunCatalogue : IDisposable
{
    private const string LastDecision = "(SELECT d.kind FROM decisions d WHERE d.cell = runs.cell AND d.run = runs.number ORDER BY d.id DESC LIMIT 1)";

    private const string Overlaps = "start_ticks <= $to AND (end_ticks IS NULL OR end_ticks >= $from)";

    private readonly CatalogueFile _file;

    private RunCatalogue(CatalogueFile file)
    {
        _file = file;
        Book = new RunBook(file);
        Rejudgements = new RejudgementBook(file);
    }

    /// <summary>What people have said of runs and of the machine.</summary>
    public RunBook Book { get; }

    /// <summary>Runs that were judged once more.</summary>
    public RejudgementBook Rejudgements { get; }

    /// <summary>What opening found damaged and what was done about it; null if nothing was.</summary>
    public string? Loss => _file.Loss;

    /// <summary>Whether it had to begin empty, with no chain to fill it: the journal then has to be lived through from its beginning.</summary>
    public bool IsIncomplete => _file.IsIncomplete;

    /// <summary>The journals have been lived through and everything found in them is saved. Until this is called, every opening finds it incomplete.</summary>
    public void Completed() => _file.Completed();

    /// <summary>Opens the file or makes it, and carries an older one forward.</summary>
    /// <param name="path">As <see cref="DataFolder.CataloguePath"/>.</param>
    /// <param name="time">Stamps migrations.</param>
    /// <exception cref="InvalidDataException">It was written by a newer program.</exception>
    /// <exception cref="SqliteException">The file cannot be opened or made.</exception>
    public static RunCatalogue Open(string path, TimeProvider time) => Open(path, time, JournalDisk.Instance);

    internal static RunCatalogue Open(string path, TimeProvider time, IJournalDisk disk) => new(CatalogueFile.Open(path, time, disk));

    /// <summary>Writes a run, whole; over the one of the same cell and number if there is one. A run that is still open never replaces its end.</summary>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public void Save(RunRow run) => _file.Record(ChainKinds.Run, run, () =>
        Find(run.Cell, run.Number) is { } before && ((run.End is null && before.End is not null) || ToJson(before) == ToJson(run)));

    /// <summary>The newest runs of a cell, newest first.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="count">How many at most.</param>
    public IReadOnlyList<RunRow> Latest(int cell, int count) =>
        _file.Read($"SELECT {CatalogueTables.RunColumns} FROM runs WHERE cell = $cell ORDER BY number DESC LIMIT $count", CatalogueTables.ReadRun, ("$cell", cell), ("$count", count));

    /// <summary>One run; null if there is none of that number.</summary>
    public RunRow? Find(int cell, long number) =>
        _file.Read($"SELECT {CatalogueTables.RunColumns} FROM runs WHERE cell = $cell AND number = $number", CatalogueTables.ReadRun, ("$cell", cell), ("$number", number)).FirstOrDefault();

    /// <summary>The runs of a cell with numbers in a range, by number.</summary>
    public IReadOnlyList<RunRow> Numbered(int cell, long first, long last) => _file.Read(
        $"SELECT {CatalogueTables.RunColumns} FROM runs WHERE cell = $cell AND number BETWEEN $first AND $last ORDER BY number", CatalogueTables.ReadRun,
        ("$cell", cell), ("$first", first), ("$last", last));

    /// <summary>Whose and when some runs were, without their figures.</summary>
    public IReadOnlyList<RunHead> Heads(int cell, IEnumerable<long> runs) => _file.Read(
        "SELECT number, carrier, start_ticks FROM runs WHERE cell = $cell AND number IN (SELECT value FROM json_each($runs))",
        row => new RunHead(row.GetInt64(0), row.GetString(1), new Timestamp(row.GetInt64(2))), ("$cell", cell), ("$runs", JsonSerializer.Serialize(runs)));

    /// <summary>Numbers of the runs of a cell that have ended and lie in a span, in order.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="from">Only runs that end after this; null: from the first.</param>
    /// <param name="to">Only runs that begin before this; null: to the last.</param>
    public IReadOnlyList<long> EndedRuns(int cell, Timestamp? from, Timestamp? to) => _file.Read(
        "SELECT number FROM runs WHERE cell = $cell AND end_ticks IS NOT NULL AND ($from IS NULL OR end_ticks >= $from) AND ($to IS NULL OR start_ticks <= $to) ORDER BY number",
        row => row.GetInt64(0), ("$cell", cell), ("$from", from?.UtcTicks), ("$to", to?.UtcTicks));

    /// <summary>
    /// When the last verification run ended that passed, and how many runs have ended since; without one, when the first run began.
    /// Null without any run.
    /// </summary>
    public (Timestamp Last, int Since)? SinceVerification(int cell)
    {
        (long Number, long Ticks)? last = _file.Read(
            "SELECT number, end_ticks FROM runs WHERE cell = $cell AND kind = 'verification' AND verdict = 'Pass' AND end_ticks IS NOT NULL ORDER BY number DESC LIMIT 1",
            row => ((long, long)?)(row.GetInt64(0), row.GetInt64(1)), ("$cell", cell)).FirstOrDefault();
        return _file.Read(
            "SELECT min(start_ticks), count(*) FROM runs WHERE cell = $cell AND end_ticks IS NOT NULL AND number > $number",
            row => row.IsDBNull(0) && last is null ? ((Timestamp, int)?)null : (new Timestamp(last?.Ticks ?? row.GetInt64(0)), row.GetInt32(1)),
            ("$cell", cell), ("$number", last?.Number ?? 0))[0];
    }

    /// <summary>Where all runs of a cell lie in its journal, by number; the last entry is null while a run goes on.</summary>
    public IReadOnlyList<(long Number, long FirstSequence, long? LastSequence)> RunSpans(int cell) => _file.Read(
        "SELECT number, first_sequence, last_sequence FROM runs WHERE cell = $cell ORDER BY number",
        row => (row.GetInt64(0), row.GetInt64(1), row.IsDBNull(2) ? (long?)null : row.GetInt64(2)), ("$cell", cell));

    /// <summary>One run out of a catalogue that a service may be writing; null if there is none of that number.</summary>
    /// <param name="path">As <see cref="DataFolder.CataloguePath"/>; nothing in it is changed.</param>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="number">Number of the run.</param>
    /// <exception cref="SqliteException">The file cannot be read.</exception>
    public static RunRow? Peek(string path, int cell, long number) =>
        Peek(path, "number = $number", _ => true, ("$cell", cell), ("$number", number)).FirstOrDefault();

    /// <summary>Runs out of a catalogue that a service may be writing that overlap a span, by number.</summary>
    /// <param name="path">As <see cref="DataFolder.CataloguePath"/>; nothing in it is changed.</param>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="from">First moment.</param>
    /// <param name="to">Last moment.</param>
    /// <param name="wanted">Which of them: a long span has more than are to be held at once.</param>
    /// <exception cref="SqliteException">The file cannot be read.</exception>
    public static IReadOnlyList<RunRow> PeekBetween(string path, int cell, Timestamp from, Timestamp to, Func<RunRow, bool> wanted) =>
        Peek(path, Overlaps, wanted, ("$cell", cell), ("$from", from.UtcTicks), ("$to", to.UtcTicks));

    private static List<RunRow> Peek(string path, string which, Func<RunRow, bool> wanted, params (string, object?)[] values)
    {
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false, Mode = SqliteOpenMode.ReadWrite, DefaultTimeout = 30 }.ToString());
        connection.Open();
        using SqliteCommand query = CatalogueDatabase.Command(connection,
            $"SELECT {CatalogueTables.RunColumns} FROM runs WHERE cell = $cell AND {which} ORDER BY number", values);
        using SqliteDataReader row = query.ExecuteReader();
        List<RunRow> found = [];
        while (row.Read())
        {
            RunRow run = CatalogueTables.ReadRun(row);
            if (wanted(run))
            {
                found.Add(run);
            }
        }

        return found;
    }

    /// <summary>Runs that overlap a span, by number.</summary>
    public IReadOnlyList<RunRow> Between(int cell, Timestamp from, Timestamp to) => _file.Read(
        $"SELECT {CatalogueTables.RunColumns} FROM runs WHERE cell = $cell AND {Overlaps} ORDER BY number", CatalogueTables.ReadRun,
        ("$cell", cell), ("$from", from.UtcTicks), ("$to", to.UtcTicks));

    /// <summary>Runs that fit a question, newest first.</summary>
    public IReadOnlyList<RunRow> Search(RunQuery query) => _file.Read(
        $"SELECT {CatalogueTables.RunColumns} FROM runs WHERE cell = $cell AND ($before IS NULL OR number < $before) AND ($verdict IS NULL OR verdict = $verdict) "
        + "AND ($spec IS NULL OR instr(lower(spec_name), lower($spec)) > 0) AND ($carrier IS NULL OR carrier = $carrier) "
        + "AND ($from IS NULL OR end_ticks IS NULL OR end_ticks >= $from) AND ($to IS NULL OR start_ticks <= $to) "
        + "AND ($product IS NULL OR EXISTS (SELECT 1 FROM run_records r WHERE r.cell = runs.cell AND r.run = runs.number AND instr(lower(r.product), lower($product)) > 0)) "
        + "AND ($serial IS NULL OR EXISTS (SELECT 1 FROM run_serials s WHERE s.serial = $serial AND s.cell = runs.cell AND s.run = runs.number)) "
        + $"AND ($decision IS NULL OR {LastDecision} = $decision) "
        + $"AND ($open = 0 OR (end_ticks IS NOT NULL AND CASE {LastDecision} WHEN 'Hold' THEN 1 WHEN 'Inspect' THEN 1 ELSE {LastDecision} IS NULL AND verdict IS NOT 'Pass' END)) "
        + "ORDER BY number DESC LIMIT $count",
        CatalogueTables.ReadRun,
        ("$cell", query.Cell), ("$before", query.Before), ("$verdict", query.Verdict?.ToString()), ("$spec", query.SpecContains), ("$carrier", query.Carrier),
        ("$from", query.From?.UtcTicks), ("$to", query.To?.UtcTicks), ("$product", query.ProductContains), ("$serial", query.Serial),
        ("$decision", query.Decision?.ToString()), ("$open", query.Open ? 1 : 0), ("$count", query.Limit));

    /// <summary>Numbers of the runs of a cell next to one; null where there is none.</summary>
    public (long? Previous, long? Next) Neighbours(int cell, long number) => _file.Read(
        "SELECT (SELECT max(number) FROM runs WHERE cell = $cell AND number < $number), (SELECT min(number) FROM runs WHERE cell = $cell AND number > $number)",
        row => (row.IsDBNull(0) ? (long?)null : row.GetInt64(0), row.IsDBNull(1) ? (long?)null : row.GetInt64(1)), ("$cell", cell), ("$number", number))[0];

    /// <summary>Adds a step of an alarm to the history; a step that is there already, found again by a replay, stays as it is.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="alarm">What happened.</param>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public void SaveAlarm(int cell, AlarmEvent alarm) => _file.Record(ChainKinds.Alarm, AlarmBody.Of(cell, alarm), () => _file.Read(
        "SELECT 1 FROM alarm_events WHERE cell = $cell AND alarm_id = $id AND time_ticks = $time AND state = $state AND signal = $signal", _ => true,
        ("$cell", cell), ("$id", alarm.AlarmId), ("$time", alarm.Time.UtcTicks), ("$state", alarm.State.ToString()), ("$signal", alarm.Signal.ToString())).Count > 0);

    /// <summary>Steps of alarms of a cell, newest first.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="before">Only steps with a lower id.</param>
    /// <param name="count">How many at most.</param>
    public IReadOnlyList<AlarmStep> Alarms(int cell, long before, int count) => _file.Read(
        $"SELECT {CatalogueTables.AlarmColumns}, id FROM alarm_events WHERE cell = $cell AND id < $before ORDER BY id DESC LIMIT $count",
        row => new AlarmStep(row.GetInt64(row.FieldCount - 1), CatalogueTables.ReadAlarm(row).ToEvent()), ("$cell", cell), ("$before", before), ("$count", count));

    /// <summary>All steps of alarms of a cell in a span, oldest first: what the quality of its alarms is measured by.</summary>
    public IReadOnlyList<AlarmEvent> AlarmsBetween(int cell, Timestamp from, Timestamp to) => _file.Read(
        $"SELECT {CatalogueTables.AlarmColumns} FROM alarm_events WHERE cell = $cell AND time_ticks >= $from AND time_ticks < $to ORDER BY time_ticks, id",
        row => CatalogueTables.ReadAlarm(row).ToEvent(), ("$cell", cell), ("$from", from.UtcTicks), ("$to", to.UtcTicks));

    /// <summary>Closes the file.</summary>
    public void Dispose() => _file.Dispose();

    private static string ToJson(RunRow run) => JsonSerializer.Serialize(run, RecordJson.Options);
}
