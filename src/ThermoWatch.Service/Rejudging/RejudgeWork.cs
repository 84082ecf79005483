using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Text;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Rejudging;

/// <summary>Where a cell's runs and their raw readings lie.</summary>
/// <param name="Cell">Number of the cell.</param>
/// <param name="Catalogue">Its runs.</param>
/// <param name="ReadFrom">Its record from an entry on.</param>
/// <param name="DefinitionAt">How it was wired when an entry was recorded; null if nobody can tell.</param>
internal sealed record RunSource(int Cell, RunCatalogue Catalogue, Func<long, IEnumerable<JournalEntry>> ReadFrom, Func<long, CellDefinition?> DefinitionAt);

/// <summary>
/// Judges runs of a record once more, neighbours together: a stretch of the record is lived through once, by one engine, on one of a few
/// threads of its own, so that live work keeps those of the pool.
/// </summary>
internal sealed class RejudgeWork(RunSource source, RejudgeOrder order)
{
    private const int MostRunsAtOnce = 32;

    /// <summary>Runs beside a piece of work that may have shared the chamber with it.</summary>
    private const int Neighbours = 2;

    private static readonly TimeSpan s_idle = TimeSpan.FromMinutes(10);

    private readonly ConcurrentDictionary<(string Name, int Version), Spec?> _specs = [];
    private readonly ConcurrentDictionary<long, RejudgedRun> _judged = [];
    private int _other;

    /// <summary>How many runs there are to be looked at; zero before the work has begun.</summary>
    public int Total { get; private set; }

    /// <summary>How many have been looked at.</summary>
    public int Done => _judged.Count;

    /// <summary>How many of them have another verdict than they had.</summary>
    public int Other => _other;

    /// <summary>Judges them all; by number.</summary>
    /// <param name="threads">How many threads work on it.</param>
    /// <param name="stopping">Ends it at the next run.</param>
    /// <exception cref="OperationCanceledException">It was ended.</exception>
    public ImmutableArray<RejudgedRun> Run(int threads, CancellationToken stopping)
    {
        IReadOnlyList<long> numbers = [.. source.Catalogue.EndedRuns(source.Cell, order.From, order.To).Where(number => order.Run is not { } only || only == number)];
        Total = numbers.Count;
        ConcurrentQueue<long[]> pieces = new(numbers.Chunk(Math.Clamp(numbers.Count / (8 * threads), 4, MostRunsAtOnce)));
        Exception? wrong = null;
        Thread[] workers = [.. Enumerable.Range(0, threads).Select(i => new Thread(() =>
        {
            try
            {
                while (!stopping.IsCancellationRequested && Volatile.Read(ref wrong) is null && pieces.TryDequeue(out long[]? piece))
                {
                    Judge(piece, stopping);
                }
            }
            catch (Exception fault) when (fault is not OperationCanceledException)
            {
                Interlocked.CompareExchange(ref wrong, fault, null);
            }
            catch (OperationCanceledException)
            {
                // The caller is told below.
            }
        })
        { IsBackground = true, Name = $"rejudge {i}" })];
        Array.ForEach(workers, w => w.Start());
        Array.ForEach(workers, w => w.Join());
        if (wrong is not null)
        {
            throw wrong is SqliteException or IOException ? wrong : new InvalidOperationException("A run cannot be judged once more.", wrong);
        }

        stopping.ThrowIfCancellationRequested();
        return [.. _judged.Values.OrderBy(run => run.Run)];
    }

    private void Judge(long[] numbers, CancellationToken stopping)
    {
        HashSet<long> wanted = [.. numbers];
        RunRow[] rows = [.. source.Catalogue.Numbered(source.Cell, numbers[0] - Neighbours, numbers[^1] + Neighbours).OrderBy(row => row.Start)];
        Timestamp from = rows.Where(row => wanted.Contains(row.Number)).Min(row => row.Start);
        Timestamp to = rows.Where(row => wanted.Contains(row.Number)).Max(row => row.End!.Value);
        rows = [.. rows.Where(row => wanted.Contains(row.Number) || (row.Start < to && !(row.End < from)))];
        List<Planned> stretch = [];
        Timestamp end = default;
        foreach (RunRow row in rows)
        {
            CellDefinition? cell = source.DefinitionAt(row.FirstSequence);
            if (cell is null)
            {
                Tell(row, wanted, "nobody can tell any more how the cell was wired then; check the record with thermowatch verify");
                continue;
            }

            if (stretch.Count > 0 && (row.Start - end > s_idle || !ReferenceEquals(cell, stretch[0].Cell)))
            {
                Live(stretch, wanted, stopping);
                stretch = [];
            }

            Timestamp ends = row.End ?? to;
            end = stretch.Count == 0 || ends > end ? ends : end;
            stretch.Add(new Planned(row, cell, ends));
        }

        Live(stretch, wanted, stopping);
    }

    /// <summary>Lives through the record of some neighbouring runs.</summary>
    private void Live(List<Planned> stretch, HashSet<long> wanted, CancellationToken stopping)
    {
        if (stretch.Count == 0)
        {
            return;
        }

        CellDefinition cell = stretch[0].Cell;
        Dictionary<long, Planned> byNumber = stretch.ToDictionary(p => p.Row.Number);
        List<StoredRun> stored = [];
        foreach (Planned planned in stretch)
        {
            if (SpecOf(planned.Row, out Spec? spec))
            {
                stored.Add(ToStored(planned, spec));
            }
            else
            {
                Tell(planned.Row, wanted, $"its spec {planned.Row.SpecName}, version {planned.Row.SpecVersion} is not in the catalogue; name a spec to judge it by");
            }
        }

        var damaged = new HashSet<long>();
        var engine = new StoredRuns(order.Apply(cell), stored, (run, picture) =>
        {
            Planned planned = byNumber[run.Number];
            if (!damaged.Contains(run.Number))
            {
                Keep(planned.Row, wanted, RejudgedRun.Of(order.ChangesOf(planned.Row, cell, Judgement.Algorithm), planned.Row.Verdict, planned.Row.Figures, picture));
            }
        });
        Timestamp begin = stretch[0].Row.Start - StoredRuns.LeadIn;
        foreach (JournalEntry entry in source.ReadFrom(FirstEntry(stretch[0].Row, cell)))
        {
            if (engine.IsDone)
            {
                return;
            }

            if (entry is MissingEntries missing)
            {
                foreach (Planned hit in stretch.Where(p => missing.Sequence <= (p.Row.LastSequence ?? long.MaxValue) && missing.LastSequence >= p.Row.FirstSequence))
                {
                    damaged.Add(hit.Row.Number);
                    Tell(hit.Row, wanted, "its raw readings are not all in the record any more: " + missing.Reason);
                }
            }
            else if (entry is InputEntry { Input: var input } && input.Time >= begin && !(input is ScanInput { Scan: var scan } && !IsOf(cell, scan)))
            {
                stopping.ThrowIfCancellationRequested();
                engine.Take(input);
            }
        }

        engine.Finish();
    }

    /// <summary>An entry that lies early enough: readings come at most as fast as devices are polled.</summary>
    private static long FirstEntry(RunRow row, CellDefinition cell) => Math.Max(
        1, row.FirstSequence - (long)Math.Ceiling((StoredRuns.LeadIn.TotalSeconds + 10) * cell.Devices.Sum(d => 1 / d.Period.TotalSeconds)));

    private static bool IsOf(CellDefinition cell, RawScan scan) =>
        scan.DeviceIndex < cell.Devices.Count && scan.Values.Length == cell.Devices[scan.DeviceIndex].Points.Count;

    private static StoredRun ToStored(Planned planned, Spec? spec) => new(planned.Row.Number, planned.Row.Carrier, planned.Row.Start, planned.End)
    {
        Kind = planned.Row.Kind,
        Spec = spec,
        EndReason = planned.Row.EndReason ?? "",
        Recipe = planned.Row.Recipe,
        Notes = planned.Row.Notes,
    };

    /// <summary>The spec to judge a run by; false if it had one that nobody knows any more.</summary>
    private bool SpecOf(RunRow row, out Spec? spec)
    {
        spec = order.Replaces(row) ? order.Spec : null;
        if (spec is not null || row.SpecName is not { } name || row.SpecVersion is not { } version)
        {
            return true;
        }

        spec = _specs.GetOrAdd((name, version), key =>
            source.Catalogue.FindSpec(key.Name, key.Version) is { } kept ? SpecFile.Parse(Encoding.UTF8.GetBytes(kept.Json)).Spec : null);
        return spec is not null;
    }

    private void Tell(RunRow row, HashSet<long> wanted, string problem) =>
        Keep(row, wanted, new RejudgedRun(row.Number, [], row.Verdict, null, [], []) { Problem = problem });

    private void Keep(RunRow row, HashSet<long> wanted, RejudgedRun judged)
    {
        if (wanted.Contains(row.Number) && _judged.TryAdd(row.Number, judged) && judged.IsOther)
        {
            Interlocked.Increment(ref _other);
        }
    }

    private sealed record Planned(RunRow Row, CellDefinition Cell, Timestamp End);
}
