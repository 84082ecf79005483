using System.Globalization;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>The SQLite file: opening, migrations, one writer, any number of readers.</summary>
internal sealed class CatalogueFile : IDisposable
{
    private readonly Lock _gate = new();
    private readonly SqliteConnection _writer;
    private readonly string _readers;
    private readonly ChainFile _chain;
    private readonly string _chainPath;
    private readonly string _incomplete;
    private readonly TimeProvider _time;

    private CatalogueFile(SqliteConnection writer, string path, ChainFile chain, TimeProvider time) =>
        (_writer, _readers, _chain, _chainPath, _incomplete, _time) = (writer, CatalogueDatabase.Shared(path, pooled: true), chain, ChainPath(path), Path.GetFullPath(path) + ".incomplete", time);

    /// <summary>What opening found damaged or missing and what was done about it; null if nothing was.</summary>
    public string? Loss { get; private set; }

    /// <summary>Whether runs may be missing that only the journal can give back.</summary>
    public bool IsIncomplete { get; private set; }

    /// <summary>Number and hash of the chain's last line.</summary>
    public (long Number, string Hash) Head
    {
        get
        {
            lock (_gate)
            {
                return (_chain.LastNumber, _chain.Head);
            }
        }
    }

    public static CatalogueFile Open(string path, TimeProvider time, IJournalDisk disk)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(Path.GetFullPath(path))!);
        bool isNew = !File.Exists(path);
        string? loss = null;
        SqliteConnection writer;
        try
        {
            writer = CatalogueDatabase.OpenWriter(path, time);
        }
        catch (SqliteException fault) when (fault.SqliteErrorCode is CatalogueDatabase.Corrupt or CatalogueDatabase.NotADatabase)
        {
            // Everything in it can be found again, so a damaged catalogue must not keep the service from starting.
            string aside = $"{path}.damaged-{time.GetUtcNow().ToString("yyyyMMdd'T'HHmmss", CultureInfo.InvariantCulture)}";
            foreach (string ending in new[] { "", "-wal", "-shm" })
            {
                if (File.Exists(path + ending))
                {
                    File.Move(path + ending, aside + ending, overwrite: true);
                }
            }

            loss = $"The catalogue {Path.GetFileName(path)} is damaged ({fault.Message}). It was set aside as {Path.GetFileName(aside)}; a new one was begun.";
            (writer, isNew) = (CatalogueDatabase.OpenWriter(path, time), true);
        }

        if (!File.Exists(ChainPath(path)) && CatalogueDatabase.Applied(writer).Number == 0 && EarlyRows.BodiesOf(writer) is { Count: > 0 } rows)
        {
            ChainFile.Make(ChainPath(path), disk, Timestamp.From(time.GetUtcNow()), rows); // of a store from before there was a chain
        }

        var file = new CatalogueFile(writer, path, ChainFile.Open(ChainPath(path), disk), time) { Loss = loss };
        file.Join(isNew);
        return file;
    }

    /// <summary>Where the chain of a catalogue lies.</summary>
    public static string ChainPath(string path) => Path.Combine(Path.GetDirectoryName(Path.GetFullPath(path))!, ChainFile.FileName);

    /// <summary>Brings the tables to where the chain is.</summary>
    private void Join(bool isNew)
    {
        (long applied, _) = CatalogueDatabase.Applied(_writer);
        if (isNew && _chain.LastNumber == 0)
        {
            File.WriteAllBytes(_incomplete, []); // stands until the journal has been lived through: the process may end before
        }

        IsIncomplete = File.Exists(_incomplete);
        if (applied > _chain.LastNumber)
        {
            Say($"The chain of events ends at line {_chain.LastNumber}, but the catalogue knows {applied}: {ChainFile.FileName} was cut or exchanged. Restore it from a backup; verify says what does not fit.");
            Move(_chain.LastNumber, _chain.Length);
        }
        else if (applied < _chain.LastNumber || CatalogueDatabase.IsCarriedForward(_writer))
        {
            CatchUp();
            Say(isNew && _chain.LastNumber > 0 ? $"The catalogue was missing or damaged; {_chain.LastNumber} lines of the chain of events gave it back." : null);
        }

        Say(_chain.Loss);
    }

    /// <summary>Everything that only the journal knew is in.</summary>
    public void Completed()
    {
        IsIncomplete = false;
        File.Delete(_incomplete);
    }

    private void Say(string? loss) => Loss = loss is null ? Loss : Loss is null ? loss : $"{Loss} {loss}";

    private Timestamp Now => Timestamp.From(_time.GetUtcNow());

    /// <summary>Writes something into the chain and from there into the tables, unless they say the same already.</summary>
    /// <param name="kind">One of <see cref="ChainKinds"/>.</param>
    /// <param name="body">What to write.</param>
    /// <param name="isKnown">Asked under the lock whether it stands there already; null: it cannot.</param>
    /// <returns>Number of its line; zero if it stood there already.</returns>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    /// <exception cref="SqliteException">It stands in the chain, and the tables follow at the next call.</exception>
    public long Record<T>(string kind, T body, Func<bool>? isKnown = null)
        where T : class => Record(kind, () => isKnown?.Invoke() == true ? null : body);

    /// <summary>Writes something into the chain and from there into the tables.</summary>
    /// <param name="kind">One of <see cref="ChainKinds"/>.</param>
    /// <param name="compose">Asked under the lock what to write, so that it may rest on what stands there; null: nothing.</param>
    /// <returns>Number of its line; zero if nothing was written.</returns>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    /// <exception cref="SqliteException">It stands in the chain, and the tables follow at the next call.</exception>
    public long Record<T>(string kind, Func<T?> compose)
        where T : class
    {
        lock (_gate)
        {
            CatchUp(); // what an earlier call could not finish
            if (compose() is not { } body)
            {
                return 0;
            }

            ChainLine line = _chain.Append(Now, kind, JsonSerializer.SerializeToUtf8Bytes(body, RecordJson.Options));
            CatchUp();
            return line.Number;
        }
    }

    private void CatchUp()
    {
        (long applied, long length) = CatalogueDatabase.Applied(_writer);
        bool isCarriedForward = CatalogueDatabase.IsCarriedForward(_writer);
        if (applied >= _chain.LastNumber && !isCarriedForward)
        {
            return;
        }

        using SqliteTransaction transaction = _writer.BeginTransaction();
        if (isCarriedForward)
        {
            // Rows that an earlier version wrote need not be what this one makes of the same lines.
            CatalogueTables.Clear(_writer);
            CatalogueDatabase.Execute(_writer, "PRAGMA user_version = 0");
            length = 0;
        }

        foreach ((_, ChainLine? line, long end) in _chain.LastNumber > 0 ? ChainFile.Read(_chainPath, length, _chain.Length) : [])
        {
            if (line is not null)
            {
                CatalogueTables.Apply(_writer, line);
            }

            length = end;
        }

        Move(_chain.LastNumber, length);
        transaction.Commit();
    }

    private void Move(long number, long length)
    {
        using SqliteCommand command = CatalogueDatabase.Command(_writer, "UPDATE chain_applied SET number = $number, length = $length", ("$number", number), ("$length", length));
        command.ExecuteNonQuery();
    }

    public List<T> Read<T>(string sql, Func<SqliteDataReader, T> read, params ReadOnlySpan<(string Name, object? Value)> parameters)
    {
        using var connection = new SqliteConnection(_readers);
        connection.Open();
        using SqliteCommand command = CatalogueDatabase.Command(connection, sql, parameters);
        using SqliteDataReader row = command.ExecuteReader();
        List<T> rows = [];
        while (row.Read())
        {
            rows.Add(read(row));
        }

        return rows;
    }

    public void Dispose()
    {
        _chain.Dispose();
        _writer.Dispose();
        using var pool = new SqliteConnection(_readers);
        SqliteConnection.ClearPool(pool);
    }
}
