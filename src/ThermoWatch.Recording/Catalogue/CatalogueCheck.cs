using Microsoft.Data.Sqlite;
using ThermoWatch.Recording.Chain;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>Looks at a catalogue from outside, also while a service writes into it.</summary>
internal static class CatalogueCheck
{
    /// <summary>What SQLite's own check finds wrong with a file; empty if nothing.</summary>
    public static IReadOnlyList<string> Check(string path)
    {
        try
        {
            using var connection = new SqliteConnection(CatalogueDatabase.Shared(path, pooled: false));
            connection.Open();
            using SqliteCommand command = CatalogueDatabase.Command(connection, "PRAGMA integrity_check");
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
            using var connection = new SqliteConnection(CatalogueDatabase.Shared(path, pooled: false));
            connection.Open();
            using SqliteCommand query = CatalogueDatabase.Command(connection, "SELECT count(*) FROM sqlite_master WHERE name = 'chain_applied'");
            if (query.ExecuteScalar() is not 1L)
            {
                return []; // of a store from before there was a chain
            }

            using SqliteTransaction snapshot = connection.BeginTransaction(deferred: true);
            (long applied, long length) = CatalogueDatabase.Applied(connection);
            using var remade = new SqliteConnection("Data Source=:memory:");
            remade.Open();
            Array.ForEach(Migrations.Steps, step => CatalogueDatabase.Execute(remade, step.Sql));
            if (applied > 0)
            {
                using SqliteTransaction transaction = remade.BeginTransaction();
                foreach ((_, ChainLine? line, _) in ChainFile.Read(CatalogueFile.ChainPath(path), 0, length))
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
        using var from = new SqliteConnection(CatalogueDatabase.Shared(path, pooled: false));
        using var copy = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = to, Pooling = false }.ToString());
        from.Open();
        copy.Open();
        from.BackupDatabase(copy);
    }
}
