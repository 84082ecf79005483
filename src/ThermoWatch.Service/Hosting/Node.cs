using ThermoWatch.Acquisition;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Keeping;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Commands;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Service.Live;
using ThermoWatch.Service.Publishing;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Hosting;

/// <summary>How a node runs beside its configuration.</summary>
/// <param name="Verb">The command that started it, for messages.</param>
/// <param name="Clock">The clock that everything in the cell loops follows.</param>
/// <param name="Time">What that clock is anchored to.</param>
/// <param name="Demo">Whether everything shown is simulated.</param>
/// <param name="BeforeLoop">Fills a new record before its cell's loop begins; null: nothing.</param>
internal sealed record NodeMode(
    string Verb, AnchoredClock Clock, TimeProvider Time, bool Demo = false, Action<CellHost, CancellationToken>? BeforeLoop = null);

/// <summary>One running service: opens the record, recovers its cells, polls their devices and serves the pages.</summary>
internal sealed class Node : IAsyncDisposable
{
    private readonly NodeConfiguration _configuration;
    private readonly NodeMode _mode;
    private readonly DataFolder _folder;
    private readonly RunCatalogue _catalogue;
    private readonly Trail _trail;
    private readonly RecordWatch _watch;
    private readonly RecordKeeper _keeper;
    private readonly RejudgeDesk _rejudging;
    private readonly Viewers _viewers;
    private readonly ILogger _log;
    private readonly List<CellJournal> _journals = [];
    private readonly List<RunRecorder> _recorders = [];
    private readonly List<CellHost> _hosts = [];
    private readonly FeedDesk _feeds;

    private Node(NodeConfiguration configuration, DataFolder folder, NodeMode mode, ILoggerFactory logs)
    {
        _configuration = configuration;
        _folder = folder;
        _mode = mode;
        ILogger log = _log = logs.CreateLogger("ThermoWatch");
        _viewers = new Viewers(log);
        _catalogue = RunCatalogue.Open(folder.CataloguePath, mode.Time);
        if (_catalogue.Loss is { } loss)
        {
            Log.CatalogueDamaged(log, loss);
        }

        foreach (ConfigurationFault note in configuration.Notes)
        {
            Log.ConfigurationNote(log, note.Path, note.Problem, note.Remedy);
        }

        _rejudging = new RejudgeDesk(_catalogue, mode.Time);
        _trail = new Trail(_catalogue, folder.Path, mode, log);
        _trail.Began(configuration);
        foreach (CellConfiguration cell in configuration.Cells)
        {
            RunRecorder recorder = new(_catalogue, cell.Definition.Number, mode.Time, log);
            CellJournal journal = CellJournal.Open(folder.JournalPath(cell.Definition.Number), cell.Definition, mode.Time, new JournalOptions { Sealed = recorder.Sealed });
            if (journal.Seal.LastSequence > 0)
            {
                recorder.Sealed(journal.Seal); // in case the process ended between the seal and its note
            }

            _journals.Add(journal);
            _recorders.Add(recorder);
            _hosts.Add(new CellHost(cell, journal, recorder, _viewers, mode, log));
        }

        var keeper = new RecordKeeper(folder.Path, _catalogue, [.. configuration.Cells.Select(cell => cell.Definition.Number).Zip(_journals)], mode.Time, configuration.Keeping);
        _watch = new RecordWatch(_journals, keeper, mode.Time, log);
        _keeper = keeper;
        _feeds = new FeedDesk(configuration.Feeds, [.. configuration.Cells.Zip(_journals)], _catalogue, folder.Path, mode.Time, log);
    }

    /// <summary>Runs a node until it is told to stop.</summary>
    /// <param name="configuration">What it watches.</param>
    /// <param name="dataFolder">Where its record lies.</param>
    /// <param name="mode">How it runs.</param>
    /// <param name="web">Its pages, begun as early as the caller could; the caller lets them go.</param>
    /// <param name="stopping">Tells it to stop.</param>
    /// <returns>The exit code of the program.</returns>
    public static async Task<int> RunAsync(NodeConfiguration configuration, string dataFolder, NodeMode mode, PendingWeb web, CancellationToken stopping)
    {
        DataFolderOpening opening = DataFolder.Open(dataFolder, mode.Time);
        if (opening.Folder is not { } folder)
        {
            await Console.Error.WriteLineAsync($"thermowatch: {opening.Problem}");
            return ExitCodes.Unreachable;
        }

        await using Node node = new(configuration, folder, mode, web.Logs);
        IReadOnlyList<string> refusals = SpecReach.Refusals(configuration.Cells, node._catalogue, web.Logs.CreateLogger("ThermoWatch"));
        foreach (string refusal in refusals)
        {
            await Console.Error.WriteLineAsync($"thermowatch: {refusal}");
        }

        return refusals.Count > 0 ? ExitCodes.BadInput : await node.ServeAsync(web, stopping);
    }

    /// <summary>Ends in the order of the data: what was journalled is flushed and sealed, what was found in it written down, then the folder is let go.</summary>
    public async ValueTask DisposeAsync()
    {
        _rejudging.Dispose(); // it reads the journals and writes into the catalogue
        await _feeds.DisposeAsync();
        _journals.ForEach(j => j.Dispose());
        foreach (RunRecorder recorder in _recorders)
        {
            await recorder.DisposeAsync();
        }

        _trail.Ended();

        _catalogue.Dispose();
        _folder.Dispose();
    }

    private async Task<int> ServeAsync(PendingWeb web, CancellationToken stopping)
    {
        List<CellLines> lines = [.. _hosts.Zip(_configuration.Cells, (host, cell) => new CellLines(
            cell.Definition, cell.Devices, new AcquisitionRunner(cell.Devices, host.Inputs, _mode.Clock, _mode.Time, cell.Definition.Number)))];
        WebApplication app = await web.CompleteAsync(new(
            new CellDirectory(_hosts), _catalogue, _viewers, _watch, _keeper, new ProbeDesk(lines, _mode.Time), _rejudging, _feeds, _mode.Time));
        app.ListenAt(_configuration.Host, _configuration.Port);
        using var ended = CancellationTokenSource.CreateLinkedTokenSource(stopping, app.Lifetime.ApplicationStopping);
        List<Task> work = [];
        foreach ((CellHost host, CellLines line) in _hosts.Zip(lines))
        {
            host.Recover(fromTheBeginning: _catalogue.IsIncomplete);
            work.Add(line.Runner.RunAsync(ended.Token));
            _mode.BeforeLoop?.Invoke(host, ended.Token);
            work.Add(Task.Run(() => host.RunAsync(ended.Token), CancellationToken.None));
        }

        if (_catalogue.IsIncomplete)
        {
            int left = _recorders.Count;
            _recorders.ForEach(recorder => recorder.Then(() =>
            {
                if (Interlocked.Decrement(ref left) == 0)
                {
                    _catalogue.Completed();
                }
            }));
        }

        work.Add(ClockCare.RunAsync(_hosts, _mode.Clock, _mode.Time, ended.Token));
        work.Add(Task.Run(() => UpkeepCare.RunAsync(_hosts, _catalogue, _mode.Time, _log, ended.Token), CancellationToken.None));
        work.Add(_feeds.RunAsync(_hosts, ended.Token));
        int code = ExitCodes.Done;
        try
        {
            await app.StartAsync(ended.Token);
            work.Add(Task.Run(() => _watch.RunAsync(ended.Token), CancellationToken.None)); // every cell has found its runs again, and nobody waits for the page
            Greet();
            await Task.Delay(Timeout.Infinite, ended.Token);
        }
        catch (OperationCanceledException)
        {
            // Asked to stop.
        }
        catch (Exception error) when (Web.PortInUse(error, _configuration.Port, _mode.Verb) is { } advice)
        {
            await Console.Error.WriteLineAsync("thermowatch: " + advice);
            code = ExitCodes.Unreachable;
        }

        await ended.CancelAsync();
        await app.StopAsync(CancellationToken.None);
        await Task.WhenAll(work);
        return code;
    }

    private void Greet()
    {
        string host = _configuration.Host is "0.0.0.0" or "::" ? "localhost" : _configuration.Host;
        Console.WriteLine($"ThermoWatch is at http://{host}:{_configuration.Port}{(_mode.Demo ? " (demo: everything is simulated)" : "")}");
        Console.WriteLine($"Record: {_folder.Path}");
        Console.WriteLine("It observes and records; it is not a safety function. Ctrl-C ends it.");
    }
}
