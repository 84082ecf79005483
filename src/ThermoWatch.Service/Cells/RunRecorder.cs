using System.Collections.Immutable;
using System.Threading.Channels;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Hosting;

namespace ThermoWatch.Service.Cells;

/// <summary>
/// Keeps a cell's runs and alarms in the catalogue, behind the cell loop: a commit waits for the disk, the loop must not.
/// What is lost here with the process is found again by the replay of the journal, under the same numbers.
/// </summary>
internal sealed class RunRecorder : IAsyncDisposable
{
    private const int UsualRuns = 24;
    private static readonly TimeSpan RetryAfter = TimeSpan.FromSeconds(1);
    private readonly int _cell;
    private readonly RunCatalogue _catalogue;
    private readonly ILogger _log;
    private readonly Channel<Action> _work = Channel.CreateUnbounded<Action>(new UnboundedChannelOptions { SingleReader = true });
    private readonly Task _writing;
    private readonly CancellationTokenSource _ending = new();
    private readonly TimeProvider _time;
    private readonly Dictionary<string, RunRow> _newest = [];
    private readonly Dictionary<string, List<RunRow>> _good = [];
    private volatile ImmutableDictionary<string, UsualRun> _usual = ImmutableDictionary<string, UsualRun>.Empty;

    public RunRecorder(RunCatalogue catalogue, int cell, TimeProvider time, ILogger log)
    {
        _time = time;
        _cell = cell;
        _catalogue = catalogue;
        _log = log;
        foreach (RunRow row in catalogue.Latest(cell, 4 * UsualRuns).Reverse())
        {
            Remember(row);
        }

        _writing = Task.Run(WriteAsync);
    }

    /// <summary>What is usual by the last good runs of one spec: what another product's take says nothing of it.</summary>
    /// <param name="spec">Name of the spec; of a run without one nothing is usual.</param>
    public UsualRun UsualOf(string? spec) => spec is not null && _usual.TryGetValue(spec, out UsualRun? usual) ? usual : UsualRun.None;

    /// <summary>Journal entry from which to draw the runs that are shown; null if there has been none.</summary>
    public long? FirstSequenceShown { get; private set; }

    public void Began(RunEvent run, long firstSequence) => Keep(new RunRow
    {
        Cell = _cell,
        Number = run.Run,
        Carrier = run.Carrier,
        Kind = run.Kind,
        Recipe = run.Recipe,
        StartReason = run.Reason,
        Start = run.Start,
        FirstSequence = firstSequence,
    });

    public void Ended(RunEvent run, long lastSequence, RunPicture picture) => Keep(new RunRow
    {
        Cell = _cell,
        Number = run.Run,
        Carrier = run.Carrier,
        Kind = picture.Kind,
        Recipe = picture.Recipe,
        Load = picture.Load,
        StartReason = picture.StartReason,
        Start = run.Start,
        End = run.End,
        EndReason = run.Reason,
        FirstSequence = _newest.TryGetValue(run.Carrier, out RunRow? begun) && begun.Number == run.Run ? begun.FirstSequence : lastSequence,
        LastSequence = lastSequence,
        SpecName = picture.SpecName,
        SpecVersion = picture.SpecVersion,
        Verdict = picture.Verdict,
        Algorithm = Judgement.Algorithm,
        Reasons = picture.Reasons,
        Figures = picture.Figures,
        Phases = picture.Phases,
        Notes = picture.Notes,
    });

    /// <summary>Notes that the cell's record is sealed up to an entry.</summary>
    public void Sealed(JournalSeal seal) => _work.Writer.TryWrite(() => _catalogue.SaveSeal(new SealedUpTo(_cell, seal.LastSequence, seal.Hash)));

    public void Alarm(AlarmEvent alarm) => _work.Writer.TryWrite(() => _catalogue.SaveAlarm(_cell, alarm));

    /// <summary>The runs in the catalogue that overlap a span.</summary>
    public IReadOnlyList<RunRow> Between(Timestamp from, Timestamp to) => _catalogue.Between(_cell, from, to);

    /// <summary>Does something once everything before it is written.</summary>
    public void Then(Action next) => _work.Writer.TryWrite(next);

    /// <summary>Puts new words into a run's record.</summary>
    public void Say(long run, RunRecordEdit edit, Timestamp time, string by) => _work.Writer.TryWrite(() => _catalogue.Book.Edit(_cell, run, edit, time, by, null));

    /// <summary>Keeps what is said of a carrier's next run, before the caller is answered: it must outlive the process.</summary>
    public void KeepNext(string carrier, ProductOfNext said, Timestamp time)
    {
        if (TryWrite(() => _catalogue.Audit(new AuditEntry(
            time, said.By, Environment.MachineName, AuditActions.ProductNext, NextRunOf(carrier), null, said.ToJson(), null))) is { } fault)
        {
            Log.CatalogueFault(_log, _cell, fault); // it is in force, and lost only with the process
        }
    }

    /// <summary>What was said of a carrier's next run, if that has not begun since, or began and has not been told yet; else null.</summary>
    public ProductOfNext? NextOf(string carrier)
    {
        if (_catalogue.LatestAudit(1, NextRunOf(carrier)) is not [{ Action: AuditActions.ProductNext, After: { } text } entry]
            || ProductOfNext.Read(text, entry.Who) is not { } said)
        {
            return null;
        }

        return !_newest.TryGetValue(carrier, out RunRow? newest) || newest.Number < said.FromRun
            || (newest.End is null && ProductOf(newest.Number) is null && !_catalogue.Numbered(_cell, said.FromRun, newest.Number - 1).Any(r => r.Carrier == carrier))
            ? said : null;
    }

    /// <summary>What has been said of a run's product; null if nothing has.</summary>
    public string? ProductOf(long run) => _catalogue.Book.Record(_cell, run).Product;

    /// <summary>Writes what is still to be written, and ends.</summary>
    public async ValueTask DisposeAsync()
    {
        _work.Writer.TryComplete();
        await _ending.CancelAsync();
        await _writing;
        _ending.Dispose();
    }

    private string NextRunOf(string carrier) => $"cell {_cell} carrier {carrier} next run";

    private void Keep(RunRow row)
    {
        Remember(row);
        _work.Writer.TryWrite(() => _catalogue.Save(row));
    }

    private void Remember(RunRow row)
    {
        _newest[row.Carrier] = row;
        FirstSequenceShown = _newest.Values.Min(r => r.FirstSequence);
        if (row is { End: not null, Verdict: Verdict.Pass, SpecName: { } spec })
        {
            if (!_good.TryGetValue(spec, out List<RunRow>? good))
            {
                _good[spec] = good = [];
            }

            good.RemoveAll(r => r.Number == row.Number);
            good.Add(row);
            good.RemoveRange(0, Math.Max(0, good.Count - UsualRuns));
            _usual = _usual.SetItem(spec, UsualRun.Of(good));
        }
    }

    private async Task WriteAsync()
    {
        await foreach (Action write in _work.Reader.ReadAllAsync())
        {
            for (bool said = false; TryWrite(write) is { } fault; said = true)
            {
                if (!said)
                {
                    Log.CatalogueFault(_log, _cell, fault);
                }

                if (_ending.IsCancellationRequested)
                {
                    break; // the journal has it, and the next start finds it again
                }

                await Task.Delay(RetryAfter, _time, _ending.Token).ContinueWith(_ => { }, TaskScheduler.Default); // a full disk is emptied some time
            }
        }
    }

    private static string? TryWrite(Action write)
    {
        try
        {
            write();
            return null;
        }
        catch (Exception fault) when (fault is SqliteException or IOException or UnauthorizedAccessException)
        {
            return fault.Message;
        }
    }
}
