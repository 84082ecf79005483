using System.Collections.Immutable;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Catalogue;

/// <summary>A re-judgement without its runs.</summary>
/// <param name="Number">Its number in the cell, from 1.</param>
/// <param name="Time">When.</param>
/// <param name="By">Name of the person.</param>
/// <param name="Reason">Why.</param>
/// <param name="Software">Name and version of the program.</param>
/// <param name="Algorithm">Version of the rules by which figures were computed.</param>
/// <param name="Asked">What it was asked to judge by.</param>
/// <param name="Runs">How many runs were looked at.</param>
/// <param name="Other">How many came out with another verdict.</param>
/// <param name="NotJudged">How many could not be judged.</param>
public sealed record RejudgementSummary(
    long Number, Timestamp Time, string By, string Reason, string Software, string Algorithm, ImmutableArray<FieldChange> Asked, int Runs, int Other, int NotJudged);

/// <summary>Runs that were judged once more. The verdicts of then stay where they stand.</summary>
public sealed class RejudgementBook
{
    private readonly CatalogueFile _file;

    internal RejudgementBook(CatalogueFile file) => _file = file;

    /// <summary>Keeps a re-judgement, whole; it gets the next number of its cell.</summary>
    /// <returns>Its number.</returns>
    /// <exception cref="IOException">The disk refuses; nothing is written.</exception>
    public long Add(Rejudgement judged)
    {
        ArgumentNullException.ThrowIfNull(judged);
        long number = 0;
        _file.Record(ChainKinds.Rejudged, () =>
        {
            number = Last(judged.Cell) + 1;
            return judged with { Number = number };
        });
        return number;
    }

    /// <summary>Number of the last re-judgement of a cell; zero if there is none.</summary>
    public long Last(int cell) => _file.Read(
        "SELECT coalesce(max(number), 0) FROM rejudgements WHERE cell = $cell", row => row.GetInt64(0), ("$cell", cell))[0];

    /// <summary>Re-judgements of a cell, newest first.</summary>
    public IReadOnlyList<RejudgementSummary> All(int cell, int count) => _file.Read(
        "SELECT number, time_ticks, by_whom, reason, software, algorithm, asked, judged, other, not_judged FROM rejudgements WHERE cell = $cell ORDER BY number DESC LIMIT $count",
        ReadSummary, ("$cell", cell), ("$count", count));

    /// <summary>One re-judgement; null if there is none of that number.</summary>
    public RejudgementSummary? Find(int cell, long number) => _file.Read(
        "SELECT number, time_ticks, by_whom, reason, software, algorithm, asked, judged, other, not_judged FROM rejudgements WHERE cell = $cell AND number = $number",
        ReadSummary, ("$cell", cell), ("$number", number)).FirstOrDefault();

    /// <summary>Runs of a re-judgement, by number.</summary>
    /// <param name="cell">Number of the cell.</param>
    /// <param name="number">Number of the re-judgement.</param>
    /// <param name="onlyOther">Only those that came out with another verdict, or could not be judged.</param>
    public IReadOnlyList<RejudgedRun> RunsOf(int cell, long number, bool onlyOther) => _file.Read(
        "SELECT judged FROM rejudged_runs WHERE cell = $cell AND rejudgement = $number AND ($all OR before IS NOT after) ORDER BY run",
        row => FromJson<RejudgedRun>(row.GetString(0)), ("$cell", cell), ("$number", number), ("$all", onlyOther ? 0 : 1));

    /// <summary>Every time that a run was judged once more, oldest first.</summary>
    public IReadOnlyList<(long Number, RejudgedRun Judged)> Of(int cell, long run) => _file.Read(
        "SELECT rejudgement, judged FROM rejudged_runs WHERE cell = $cell AND run = $run ORDER BY rejudgement",
        row => (row.GetInt64(0), FromJson<RejudgedRun>(row.GetString(1))), ("$cell", cell), ("$run", run));

    private static RejudgementSummary ReadSummary(SqliteDataReader row) => new(
        row.GetInt64(0), new Timestamp(row.GetInt64(1)), row.GetString(2), row.GetString(3), row.GetString(4), row.GetString(5),
        FromJson<ImmutableArray<FieldChange>>(row.GetString(6)), row.GetInt32(7), row.GetInt32(8), row.GetInt32(9));

    private static T FromJson<T>(string json) => JsonSerializer.Deserialize<T>(json, RecordJson.Options)!;
}
