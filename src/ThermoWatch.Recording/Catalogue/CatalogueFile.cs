using System.Globalization;
using Microsoft.Data.Sqlite;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>The SQLite file: opening, migrations, one writer, any number of readers.</summary>
internal sealed class CatalogueFile : IDisposable
{
    private const int Corrupt = 11, NotADatabase = 26; // SQLITE_CORRUPT, SQLITE_NOTADB: sqlite.org/rescode.html

    private readonly Lock _gate = new();
    private readonly SqliteConnection _writer;
    private readonly string _readers;

    private CatalogueFile(SqliteConnection writer, string readers, string? loss) => (_writer, _readers, Loss) = (writer, readers, loss);

    public string? Loss { get; }

    public static CatalogueFile Open(string path, TimeProvider time)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(Path.GetFullPath(path))!);
        try
        {
            return new CatalogueFile(OpenWriter(path, time), Readers(path), null);
        }
        catch (SqliteException fault) when (fault.SqliteErrorCode is Corrupt or NotADatabase)
        {
            // Runs can be found again in the journal, so a damaged catalogue must not keep the service from starting.
            string aside = $"{path}.damaged-{time.GetUtcNow().ToString("yyyyMMdd'T'HHmmss", CultureInfo.InvariantCulture)}";
            foreach (string ending in new[] { "", "-wal", "-shm" })
            {
                if (File.Exists(path + ending))
                {
                    File.Move(path + ending, aside + ending, overwrite: true);
                }
            }

            string loss = $"The catalogue {Path.GetFileName(path)} is damaged ({fault.Message}). It was set aside as {Path.GetFileName(aside)}; a new one was begun.";
            return new CatalogueFile(OpenWriter(path, time), Readers(path), loss);
        }
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

    /// <summary>One statement of several that belong together.</summary>
    public delegate void Writing(string sql, params ReadOnlySpan<(string Name, object? Value)> parameters);

    public void Write(string sql, params ReadOnlySpan<(string Name, object? Value)> parameters)
    {
        lock (_gate)
        {
            using SqliteCommand command = Command(_writer, sql, parameters);
            command.ExecuteNonQuery();
        }
    }

    /// <summary>Writes several things or none of them.</summary>
    public void WriteTogether(Action<Writing> write)
    {
        lock (_gate)
        {
            using SqliteTransaction transaction = _writer.BeginTransaction();
            write((sql, parameters) =>
            {
                using SqliteCommand command = Command(_writer, sql, parameters);
                command.ExecuteNonQuery();
            });
            transaction.Commit();
        }
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
            Execute(connection, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA journal_size_limit = 16777216;");
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

    private static SqliteCommand Command(SqliteConnection connection, string sql, params ReadOnlySpan<(string Name, object? Value)> parameters)
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
