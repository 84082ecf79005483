using DuckDB.NET.Data;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Export;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Tests.Archive;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Export;

/// <summary>A small record to export, and another program that reads what was exported.</summary>
internal static class ExportRecord
{
    private static readonly FakeTimeProvider s_time = new(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));
    private static readonly JournalOptions s_options = new() { SealInBackground = false, BlockEntries = 40 };
    private static readonly RefusingDisk s_quick = new() { IsQuick = true };

    /// <summary>All of it.</summary>
    public static ExportSpan Whole { get; } = new(Sample.Noon, Sample.Noon.AddSeconds(1000));

    /// <summary>The journal of a folder.</summary>
    public static CellJournal Open(TempFolder folder, CellDefinition? cell = null) => CellJournal.Open(folder.Path, cell ?? Sample.Cell, s_time, s_options, s_quick);

    /// <summary>Records inputs, most of them in sealed segments.</summary>
    public static void Write(TempFolder folder, EngineInput[] inputs, CellDefinition? cell = null)
    {
        using CellJournal journal = Open(folder, cell);
        SealingTests.Fill(journal, inputs, every: 90);
        journal.SealClosed();
    }

    /// <summary>Rows that DuckDB finds.</summary>
    public static List<object?[]> Query(string sql)
    {
        using var connection = new DuckDBConnection("Data Source=:memory:");
        connection.Open();
        using DuckDBCommand command = connection.CreateCommand();
        command.CommandText = sql;
        using DuckDBDataReader row = command.ExecuteReader();
        List<object?[]> rows = [];
        while (row.Read())
        {
            rows.Add([.. Enumerable.Range(0, row.FieldCount).Select(i => row.IsDBNull(i) ? null : row.GetValue(i))]);
        }

        return rows;
    }
}
