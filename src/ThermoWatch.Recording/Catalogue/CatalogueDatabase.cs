using System.Globalization;
using Microsoft.Data.Sqlite;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>What is the same for every use of the SQLite file: connections, migrations, commands.</summary>
internal static class CatalogueDatabase
{
    /// <summary>SQLITE_CORRUPT and SQLITE_NOTADB: sqlite.org/rescode.html.</summary>
    public const int Corrupt = 11, NotADatabase = 26;

    /// <summary>How a file is opened that another connection may be writing into.</summary>
    public static string Shared(string path, bool pooled) =>
        new SqliteConnectionStringBuilder { DataSource = path, Pooling = pooled, Mode = SqliteOpenMode.ReadWrite, DefaultTimeout = 30 }.ToString();

    /// <summary>Up to which line of the chain, and which byte of its file, the tables have followed it.</summary>
    public static (long Number, long Length) Applied(SqliteConnection connection)
    {
        using SqliteCommand query = Command(connection, "SELECT number, length FROM chain_applied");
        using SqliteDataReader row = query.ExecuteReader();
        return row.Read() ? (row.GetInt64(0), row.GetInt64(1)) : (0, 0);
    }

    /// <summary>Whether an earlier version filled the tables and they were not made anew from the chain since.</summary>
    public static bool IsCarriedForward(SqliteConnection connection)
    {
        using SqliteCommand query = Command(connection, "PRAGMA user_version");
        return query.ExecuteScalar() is 1L;
    }

    /// <summary>Opens the one connection that writes; checks the file and carries it forward.</summary>
    /// <exception cref="SqliteException">The file is damaged or cannot be opened.</exception>
    /// <exception cref="InvalidDataException">It is of a newer program.</exception>
    public static SqliteConnection OpenWriter(string path, TimeProvider time)
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
            Execute(connection, "PRAGMA user_version = 1"); // in the same transaction: see IsCarriedForward
            using SqliteCommand note = Command(connection, "INSERT INTO migrations VALUES ($version, $name, $applied)",
                ("$version", version + 1), ("$name", name), ("$applied", time.GetUtcNow().ToString("O", CultureInfo.InvariantCulture)));
            note.ExecuteNonQuery();
            transaction.Commit();
        }
    }

    public static void Execute(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = Command(connection, sql);
        command.ExecuteNonQuery();
    }

    public static SqliteCommand Command(SqliteConnection connection, string sql, params ReadOnlySpan<(string Name, object? Value)> parameters)
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
