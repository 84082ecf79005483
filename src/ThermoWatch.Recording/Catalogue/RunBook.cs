using System.Collections.Immutable;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Who changed what in a run's record.</summary>
/// <param name="Time">When.</param>
/// <param name="By">Name of the person or of the source, such as <c>recipe register</c>.</param>
/// <param name="Reason">Why; null where nobody asked.</param>
/// <param name="Changes">Field by field.</param>
public sealed record RunChange(Timestamp Time, string By, string? Reason, ImmutableArray<FieldChange> Changes);

/// <summary>A run that a person has released as a reference.</summary>
/// <param name="Run">Its number.</param>
/// <param name="Time">When it was released.</param>
/// <param name="By">By whom.</param>
/// <param name="Reason">Why.</param>
/// <param name="Withdrawn">When that was taken back; null while it stands.</param>
/// <param name="WithdrawnBy">By whom.</param>
/// <param name="WithdrawnReason">Why.</param>
public sealed record ReferenceRelease(
    long Run, Timestamp Time, string By, string Reason, Timestamp? Withdrawn = null, string? WithdrawnBy = null, string? WithdrawnReason = null);

/// <summary>An entry of the service log with its number.</summary>
/// <param name="Id">Rises in the order of recording.</param>
/// <param name="Entry">What was done.</param>
public sealed record ServiceLogLine(long Id, ServiceEntry Entry);

/// <summary>What people have said of runs and of the machine: records with every change, decisions, references, the service log.</summary>
/// <remarks>Nothing is overwritten in silence: what stood before stays with the name of who changed it. What a call has returned from outlives a power cut.</remarks>
public sealed class RunBook
{
    private readonly CatalogueFile _file;

    internal RunBook(CatalogueFile file) => _file = file;

    /// <summary>A run's record; empty if nobody has said anything.</summary>
    public RunRecord Record(int cell, long run) =>
        _file.Read("SELECT record FROM run_records WHERE cell = $cell AND run = $run", row => FromJson<RunRecord>(row.GetString(0)), ("$cell", cell), ("$run", run))
            .FirstOrDefault() ?? RunRecord.Empty;

    /// <summary>Records of several runs, by number; runs of which nobody has said anything are left out.</summary>
    public IReadOnlyDictionary<long, RunRecord> Records(int cell, IEnumerable<long> runs) => _file.Read(
        "SELECT run, record FROM run_records WHERE cell = $cell AND run IN (SELECT value FROM json_each($runs))",
        row => (Run: row.GetInt64(0), Record: FromJson<RunRecord>(row.GetString(1))),
        ("$cell", cell), ("$runs", JsonSerializer.Serialize(runs))).ToDictionary(r => r.Run, r => r.Record);

    /// <summary>Puts new words into a run's record.</summary>
    /// <returns>The record after, and what changed; nothing is written if nothing did.</returns>
    public (RunRecord Record, ImmutableArray<FieldChange> Changes) Edit(int cell, long run, RunRecordEdit edit, Timestamp time, string by, string? reason)
    {
        ArgumentNullException.ThrowIfNull(edit);
        (RunRecord Record, ImmutableArray<FieldChange> Changes) result = (RunRecord.Empty, []);
        _file.Record(ChainKinds.Record, () =>
        {
            // Read under the writer's lock: two people who edit at once both get their words in.
            result = edit.ApplyTo(Record(cell, run));
            return result.Changes.IsEmpty ? null : new RecordBody(cell, run, time, by, reason, result.Record, result.Changes);
        });
        return result;
    }

    /// <summary>Every change of a run's record, oldest first.</summary>
    public IReadOnlyList<RunChange> Changes(int cell, long run) => _file.Read(
        "SELECT time_ticks, by_whom, reason, changes FROM run_changes WHERE cell = $cell AND run = $run ORDER BY id",
        row => new RunChange(new Timestamp(row.GetInt64(0)), row.GetString(1), Text(row, 2), FromJson<ImmutableArray<FieldChange>>(row.GetString(3))),
        ("$cell", cell), ("$run", run));

    /// <summary>Runs that a board has been through, in the order of time: its heating passes.</summary>
    public IReadOnlyList<(int Cell, long Run)> PassesOf(string serial) => _file.Read(
        "SELECT s.cell, s.run FROM run_serials s LEFT JOIN runs r ON r.cell = s.cell AND r.number = s.run WHERE s.serial = $serial ORDER BY r.start_ticks, s.cell, s.run",
        row => (row.GetInt32(0), row.GetInt64(1)), ("$serial", serial));

    /// <summary>Adds a decision; earlier ones stay.</summary>
    public void Decide(int cell, long run, Decision decision)
    {
        ArgumentNullException.ThrowIfNull(decision);
        _file.Record(ChainKinds.Decision, new DecisionBody(cell, run, decision));
    }

    /// <summary>Decisions of a run, oldest first: the last one stands.</summary>
    public IReadOnlyList<Decision> Decisions(int cell, long run) => _file.Read(
        "SELECT time_ticks, kind, by_whom, reason, reference, what FROM decisions WHERE cell = $cell AND run = $run ORDER BY id", ReadDecision, ("$cell", cell), ("$run", run));

    /// <summary>The decision that stands for each of several runs; undecided ones are left out.</summary>
    public IReadOnlyDictionary<long, Decision> Standing(int cell, IEnumerable<long> runs) => _file.Read(
        "SELECT time_ticks, kind, by_whom, reason, reference, what, run FROM decisions d WHERE cell = $cell AND run IN (SELECT value FROM json_each($runs)) "
        + "AND id = (SELECT max(id) FROM decisions l WHERE l.cell = d.cell AND l.run = d.run)",
        row => (Run: row.GetInt64(6), Decision: ReadDecision(row)),
        ("$cell", cell), ("$runs", JsonSerializer.Serialize(runs))).ToDictionary(d => d.Run, d => d.Decision);

    /// <summary>Releases a run as a reference; once more after it was withdrawn.</summary>
    public void ReleaseAsReference(int cell, long run, Timestamp time, string by, string reason) =>
        _file.Record(ChainKinds.Reference, new ReferenceBody(cell, run, time, by, reason), () => Stands(cell, run));

    /// <summary>Takes a reference back: later runs are no longer compared with it.</summary>
    public void WithdrawReference(int cell, long run, Timestamp time, string by, string reason) =>
        _file.Record(ChainKinds.Withdrawn, new ReferenceBody(cell, run, time, by, reason), () => !Stands(cell, run));

    /// <summary>References of a cell, the withdrawn ones too, by run and time.</summary>
    public IReadOnlyList<ReferenceRelease> References(int cell) => _file.Read(
        "SELECT run, time_ticks, by_whom, reason, withdrawn_ticks, withdrawn_by, withdrawn_reason FROM reference_runs WHERE cell = $cell ORDER BY run, time_ticks",
        row => new ReferenceRelease(
            row.GetInt64(0), new Timestamp(row.GetInt64(1)), row.GetString(2), row.GetString(3), row.IsDBNull(4) ? null : new Timestamp(row.GetInt64(4)), Text(row, 5), Text(row, 6)),
        ("$cell", cell));

    /// <summary>Adds an entry to the service log.</summary>
    public void AddService(int cell, ServiceEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        _file.Record(ChainKinds.Service, new ServiceBody(cell, entry));
    }

    /// <summary>The service log of a cell's machine, in the order of time.</summary>
    public IReadOnlyList<ServiceLogLine> ServiceLog(int cell) => _file.Read(
        "SELECT id, time_ticks, kind, by_whom, remark, amount_ml, lot FROM service_log WHERE cell = $cell ORDER BY time_ticks, id",
        row => new ServiceLogLine(row.GetInt64(0), ReadService(row)), ("$cell", cell));

    private bool Stands(int cell, long run) => _file.Read(
        "SELECT 1 FROM reference_runs WHERE cell = $cell AND run = $run AND withdrawn_ticks IS NULL", _ => true, ("$cell", cell), ("$run", run)).Count > 0;

    internal static Decision ReadDecision(SqliteDataReader row) => new(
        new Timestamp(row.GetInt64(0)), Enum.Parse<DecisionKind>(row.GetString(1)), row.GetString(2), row.GetString(3), Text(row, 4), Text(row, 5));

    internal static ServiceEntry ReadService(SqliteDataReader row) => new(
        new Timestamp(row.GetInt64(1)), Enum.Parse<ServiceKind>(row.GetString(2)), row.GetString(3), row.GetString(4), row.IsDBNull(5) ? null : row.GetDouble(5), Text(row, 6));

    private static string? Text(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);

    private static T FromJson<T>(string json) => JsonSerializer.Deserialize<T>(json, RecordJson.Options)!;
}
