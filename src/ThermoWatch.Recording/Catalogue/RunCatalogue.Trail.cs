using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>The audit trail, and what was in force when.</summary>
public sealed partial class RunCatalogue
{
    /// <summary>Number and hash of the last line of the chain of events: it stands for every line before it.</summary>
    public (long Number, string Hash) ChainHead => _file.Head;

    /// <summary>Adds to the audit trail. There is no way to change or take away what stands in it.</summary>
    /// <returns>Its number.</returns>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public long Audit(AuditEntry entry) => _file.Record(ChainKinds.Audit, entry);

    /// <summary>The audit trail, newest first.</summary>
    /// <param name="count">How many at most.</param>
    /// <param name="subject">Only of this subject; null: all.</param>
    public IReadOnlyList<AuditEntry> LatestAudit(int count, string? subject = null) => _file.Read(
        "SELECT time_ticks, who, station, action, subject, before, after, reason FROM audit WHERE $subject IS NULL OR subject = $subject ORDER BY number DESC LIMIT $count",
        row => new AuditEntry(new Timestamp(row.GetInt64(0)), row.GetString(1), row.GetString(2), row.GetString(3), row.GetString(4), Text(row, 5), Text(row, 6), Text(row, 7)),
        ("$subject", subject), ("$count", count));

    /// <summary>Keeps a version of a spec.</summary>
    /// <returns>Null if it stands there now; else why not: another spec of that name and version has judged runs, and never changes again.</returns>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public string? SaveSpec(SpecVersion spec)
    {
        string? refusal = null;
        _file.Record(ChainKinds.Spec, spec, () =>
        {
            SpecVersion? before = FindSpec(spec.Name, spec.Version);
            refusal = before is not null && before.Json != spec.Json
                ? $"Spec {spec.Name} has a version {spec.Version} already, with other contents. Give the changed spec a new version number." : null;
            return before is not null;
        });
        return refusal;
    }

    /// <summary>A version of a spec; null if there is none.</summary>
    public SpecVersion? FindSpec(string name, int version) => _file.Read(
        "SELECT name, version, json, added_ticks, added_by FROM spec_versions WHERE name = $name AND version = $version", ReadSpec, ("$name", name), ("$version", version)).FirstOrDefault();

    /// <summary>All versions of all specs, by name and version.</summary>
    public IReadOnlyList<SpecVersion> Specs() => _file.Read("SELECT name, version, json, added_ticks, added_by FROM spec_versions ORDER BY name, version", ReadSpec);

    /// <summary>Keeps the configuration that is in force from now on, if it is another than before.</summary>
    /// <returns>Its number.</returns>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public long SaveConfiguration(string json, Timestamp time, string by)
    {
        if (Configurations(1) is [var last] && last.Json == json)
        {
            return last.Number;
        }

        var next = new ConfigurationVersion((Configurations(1) is [var before] ? before.Number : 0) + 1, json, time, by);
        _file.Record(ChainKinds.Configuration, next);
        return next.Number;
    }

    /// <summary>Configurations that were in force, newest first.</summary>
    public IReadOnlyList<ConfigurationVersion> Configurations(int count) => _file.Read(
        "SELECT number, json, time_ticks, by_whom FROM configuration_versions ORDER BY number DESC LIMIT $count",
        row => new ConfigurationVersion(row.GetInt64(0), row.GetString(1), new Timestamp(row.GetInt64(2)), row.GetString(3)), ("$count", count));

    /// <summary>Notes in the chain up to where a cell's entries are sealed, so that nobody can cut the end off unseen.</summary>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public void SaveSeal(SealedUpTo seal) => _file.Record(ChainKinds.Sealed, seal, () => LatestSeal(seal.Cell) is { } last && last.LastSequence >= seal.LastSequence);

    /// <summary>Up to where a cell's entries are sealed, as the chain says; null if it says nothing of it.</summary>
    public SealedUpTo? LatestSeal(int cell) => _file.Read(
        "SELECT cell, last_sequence, hash FROM seals WHERE cell = $cell ORDER BY last_sequence DESC LIMIT 1",
        row => new SealedUpTo(row.GetInt32(0), row.GetInt64(1), row.GetString(2)), ("$cell", cell)).FirstOrDefault();

    /// <summary>Notes that sealed entries leave the record; to be written before they do.</summary>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public void SaveRemoval(RemovedEntriesNote note) => _file.Record(ChainKinds.Removed, note);

    /// <summary>Entries that have left the record, newest first.</summary>
    public IReadOnlyList<RemovedEntriesNote> Removals(int cell, int count) => _file.Read(
        "SELECT cell, first_sequence, last_sequence, time_ticks, who, why, run FROM removals WHERE cell = $cell ORDER BY number DESC LIMIT $count",
        row => new RemovedEntriesNote(row.GetInt32(0), row.GetInt64(1), row.GetInt64(2), new Timestamp(row.GetInt64(3)), row.GetString(4), row.GetString(5), row.IsDBNull(6) ? null : row.GetInt64(6)),
        ("$cell", cell), ("$count", count));

    /// <summary>Notes the node's public key, if it is another than before.</summary>
    /// <param name="publicKey">SubjectPublicKeyInfo as PEM.</param>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public void SaveKey(string publicKey) => _file.Record(ChainKinds.Key, new KeyBody(publicKey), () =>
        _file.Read("SELECT public_key FROM node_keys ORDER BY number DESC LIMIT 1", row => row.GetString(0)) is [var last] && last == publicKey);

    private static SpecVersion ReadSpec(SqliteDataReader row) => new(row.GetString(0), row.GetInt32(1), row.GetString(2), new Timestamp(row.GetInt64(3)), row.GetString(4));

    private static string? Text(SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);
}
