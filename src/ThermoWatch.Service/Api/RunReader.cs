using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Cells;

namespace ThermoWatch.Service.Api;

/// <summary>Reads a run's scans from the journal and converts them by the definition that held when they were taken.</summary>
internal sealed class RunReader
{
    private readonly CellHost _host;
    private readonly Timestamp _from;
    private readonly Timestamp _to;

    /// <param name="host">The cell.</param>
    /// <param name="run">Which run.</param>
    /// <param name="beforeSeconds">How far before its start, s.</param>
    /// <param name="afterSeconds">How far after its end, s.</param>
    public RunReader(CellHost host, RunRow run, double beforeSeconds, double afterSeconds)
    {
        _host = host;
        Run = run;
        Cell = host.DefinitionAt(run.FirstSequence);
        _from = run.Start.AddSeconds(-beforeSeconds);
        _to = run.End?.AddSeconds(afterSeconds) ?? new Timestamp(long.MaxValue);
    }

    public RunRow Run { get; }

    public CellDefinition Cell { get; }

    /// <summary>What of the span could not be read, in plain words.</summary>
    public List<string> Lost { get; } = [];

    /// <summary>From when on its thermocouples no longer showed what they measured.</summary>
    public IReadOnlyList<GapSpan> Detached(CancellationToken gone) => _host.Detached.Of(Run, gone);

    /// <summary>Hands on each scan of the span with its readings, in order; the readings are used again for the next.</summary>
    public void Read(Action<RawScan, Reading[]> take, CancellationToken gone)
    {
        var converter = new CellConverter(Cell);
        var readings = new Reading[Cell.Channels.Count];
        foreach (JournalEntry entry in _host.ReadFrom(Run.FirstSequence))
        {
            gone.ThrowIfCancellationRequested();
            if (entry is DamagedEntries damaged)
            {
                Lost.Add(damaged.Reason);
            }

            if (entry is not InputEntry { Input: ScanInput { Scan: var scan } })
            {
                continue;
            }

            if (scan.Time > _to)
            {
                break;
            }

            // Converted even if it is not wanted: a later thermocouple may need its cold junction.
            converter.Convert(scan, readings);
            if (scan.Time >= _from)
            {
                take(scan, readings);
            }
        }
    }
}
