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
    private const int Corrupt = 11, NotADatabase = 26; // SQLITE_CORRUPT, SQLITE_NOTADB: sqlite.org/rescode.html

    private readonly Lock _gate = new();
    private readonly SqliteConnection _writer;
    private readonly string _readers;
    private readonly ChainFile _chain;
    private readonly string _chainPath;
    private readonly string _incomplete;
    private readonly TimeProvider _time;

    private CatalogueFile(SqliteConnection writer, string path, ChainFile chain, TimeProvider time) =>
        (_writer, _readers, _chain, _chainPath, _incomplete, _time) = (writer, Readers(path), chain, ChainPath(path), Path.GetFullPath(path) + ".incomplete", time);

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
            writer = OpenWriter(path, time);
        }
        catch (SqliteException fault) when (fault.SqliteErrorCode is Corrupt or NotADatabase)
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
            (writer, isNew) = (OpenWriter(path, time), true);
        }

        if (!File.Exists(ChainPath(path)) && Applied(writer).Number == 0 && CatalogueTables.BodiesOf(writer) is { Count: > 0 } rows)
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
        (long applied, _) = Applied(_writer);
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
        else if (applied < _chain.LastNumber)
        {
            CatchUp();
            Say(isNew ? $"The catalogue was missing or damaged; {_chain.LastNumber} lines of the chain of events gave it back." : null);
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
        (long applied, long length) = Applied(_writer);
        if (applied >= _chain.LastNumber)
        {
            return;
        }

        using SqliteTransaction transaction = _writer.BeginTransaction();
        foreach ((_, ChainLine? line, long end) in ChainFile.Read(_chainPath, length, _chain.Length))
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

    private static (long Number, long Length) Applied(SqliteConnection connection)
    {
        using SqliteCommand query = Command(connection, "SELECT number, length FROM chain_applied");
        using SqliteDataReader row = query.ExecuteReader();
        return row.Read() ? (row.GetInt64(0), row.GetInt64(1)) : (0, 0);
    }

    private void Move(long number, long length)
    {
        using SqliteCommand command = Command(_writer, "UPDATE chain_applied SET number = $number, length = $length", ("$number", number), ("$length", length));
        command.ExecuteNonQuery();
    }

    /// <summary>What SQLite's own check finds wrong with a file; empty if nothing.</summary>
    public static IReadOnlyList<string> Check(string path)
    {
        try
        {
            using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false, Mode = SqliteOpenMode.ReadWrite, DefaultTimeout = 30 }.ToString());
            connection.Open();
            using SqliteCommand command = Command(connection, "PRAGMA integrity_check");
            using SqliteDataReader row = command.ExecuteReader();
            List<string> found = [];
            while (row.Read())
            {
                found.Add(row.GetString(0));
            }

            return found is ["ok"] ? [] : found;
        }
        catch (SqliteException fault)
        {
            return [fault.Message];
        }
    }

    /// <summary>The first row of each table that is not what the chain says; empty if all are.</summary>
    /// <param name="path">The catalogue; a service may be writing into it.</param>
    public static IReadOnlyList<string> CompareWithChain(string path)
    {
        try
        {
            using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false, Mode = SqliteOpenMode.ReadWrite, DefaultTimeout = 30 }.ToString());
            connection.Open();
            using SqliteCommand query = Command(connection, "SELECT count(*) FROM sqlite_master WHERE name = 'chain_applied'");
            if (query.ExecuteScalar() is not 1L)
            {
                return []; // of a store from before there was a chain
            }

            using SqliteTransaction snapshot = connection.BeginTransaction(deferred: true);
            (long applied, long length) = Applied(connection);
            using var remade = new SqliteConnection("Data Source=:memory:");
            remade.Open();
            Array.ForEach(Migrations.Steps, step => Execute(remade, step.Sql));
            if (applied > 0)
            {
                using SqliteTransaction transaction = remade.BeginTransaction();
                foreach ((_, ChainLine? line, _) in ChainFile.Read(ChainPath(path), 0, length))
                {
                    if (line is not null)
                    {
                        CatalogueTables.Apply(remade, line);
                    }
                }

                transaction.Commit();
            }

            return [.. CatalogueTables.All.Select(table => CatalogueTables.FirstDifference(connection, remade, table)).OfType<string>()];
        }
        catch (Exception fault) when (fault is SqliteException or IOException)
        {
            return [fault.Message];
        }
    }

    /// <summary>Copies a file that may be in use, as it stands at one moment.</summary>
    /// <exception cref="SqliteException">It cannot be read or the copy cannot be written.</exception>
    public static void Copy(string path, string to)
    {
        using var from = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false, Mode = SqliteOpenMode.ReadWrite, DefaultTimeout = 30 }.ToString());
        using var copy = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = to, Pooling = false }.ToString());
        from.Open();
        copy.Open();
        from.BackupDatabase(copy);
    }

    public List<T> Read<T>(string sql, Func<SqliteDataReader, T> read, params ReadOnlySpan<(string Name, object? Value)> parameters)
    {
        using var connection = new SqliteConnection(_readers);
        connection.Open();
        using SqliteCommand command = Command(connection, sql, parameters);
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

    private static string Readers(string path) =>
        new SqliteConnectionStringBuilder { DataSource = path, Mode = SqliteOpenMode.ReadWrite, DefaultTimeout = 30 }.ToString();

    private static SqliteConnection OpenWriter(string path, TimeProvider time)
    {
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false, DefaultTimeout = 30 }.ToString());
        try
        {
            connection.Open();
            // What a power cut takes from the tables stands in the chain, which is flushed before them, and comes back from there.
            Execute(connection, "PRAGMA journal_mode = WAL; PRAGMA synchronous = NORMAL; PRAGMA foreign_keys = ON; PRAGMA journal_size_limit = 16777216;");
            using SqliteCommand check = Command(connection, "PRAGMA quick_check(1)");
            if (check.ExecuteScalar() is not "ok")
            {
                throw new SqliteException("a page of it does not fit the others", Corrupt);
            }

            Migrate(connection, time);
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    private static void Migrate(SqliteConnection connection, TimeProvider time)
    {
        Execute(connection, "CREATE TABLE IF NOT EXISTS migrations (version INTEGER PRIMARY KEY, name TEXT NOT NULL, applied TEXT NOT NULL) STRICT");
        using SqliteCommand query = Command(connection, "SELECT coalesce(max(version), 0) FROM migrations");
        int version = Convert.ToInt32(query.ExecuteScalar(), CultureInfo.InvariantCulture);
        if (version > Migrations.Steps.Length)
        {
            throw new InvalidDataException(
                $"The catalogue has version {version}; this program knows up to {Migrations.Steps.Length}. Start the newer program, or restore a backup made with this one.");
        }

        for (; version < Migrations.Steps.Length; version++)
        {
            (string name, string sql) = Migrations.Steps[version];
            using SqliteTransaction transaction = connection.BeginTransaction();
            Execute(connection, sql);
            using SqliteCommand note = Command(connection, "INSERT INTO migrations VALUES ($version, $name, $applied)",
                ("$version", version + 1), ("$name", name), ("$applied", time.GetUtcNow().ToString("O", CultureInfo.InvariantCulture)));
            note.ExecuteNonQuery();
            transaction.Commit();
        }
    }

    private static void Execute(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = Command(connection, sql);
        command.ExecuteNonQuery();
    }

    internal static SqliteCommand Command(SqliteConnection connection, string sql, params ReadOnlySpan<(string Name, object? Value)> parameters)
    {
        SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        foreach ((string name, object? value) in parameters)
        {
            command.Parameters.AddWithValue(name, value ?? DBNull.Value);
        }

        return command;
    }
}
