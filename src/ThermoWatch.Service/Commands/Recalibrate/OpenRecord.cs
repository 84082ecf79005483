using System.Globalization;
using Microsoft.Data.Sqlite;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary>The record of one cell, opened to be read while no service writes in it.</summary>
internal sealed class OpenRecord : IDisposable
{
    private static readonly TimeSpan ProgressEvery = TimeSpan.FromSeconds(1);

    private readonly DataFolder _folder;
    private readonly CellJournal _journal;
    private readonly RunCatalogue _catalogue;
    private readonly int _cell;
    private readonly TimeProvider _time;
    private readonly TextWriter _error;
    private long _reported;

    private OpenRecord(DataFolder folder, CellJournal journal, RunCatalogue catalogue, int cell, TimeProvider time, TextWriter error)
    {
        (_folder, _journal, _catalogue, _cell, _time, _error) = (folder, journal, catalogue, cell, time, error);
        _reported = time.GetTimestamp();
    }

    /// <summary>Opens a cell's record; null with the reason and the exit code if that cannot be.</summary>
    public static OpenRecord? Of(string path, int cell, TimeProvider time, TextWriter error, out string? fault, out int exit)
    {
        exit = ExitCodes.Unreachable;
        if (!Directory.Exists(path))
        {
            fault = $"there is no data folder {path}. Give the right one with --data.";
            return null;
        }

        DataFolderOpening opening = DataFolder.Open(path, time);
        if (opening.Folder is not { } folder)
        {
            fault = opening.Problem + " Or make a backup of it with thermowatch backup, restore that elsewhere, and look there.";
            return null;
        }

        if (!Directory.Exists(folder.JournalPath(cell)))
        {
            folder.Dispose();
            (fault, exit) = ($"{path} has no record of a cell {cell}. Give the right number with --cell.", ExitCodes.BadInput);
            return null;
        }

        try
        {
            // The wiring is each entry's own: nothing is written here that would need one.
            CellDefinition nobody = new() { Number = cell, Name = "", Carriers = [], Devices = [], Channels = [] };
            CellJournal journal = CellJournal.Open(folder.JournalPath(cell), nobody, time, new JournalOptions { SealInBackground = false });
            fault = null;
            return new OpenRecord(folder, journal, RunCatalogue.Open(folder.CataloguePath, time), cell, time, error);
        }
        catch (Exception wrong) when (wrong is IOException or InvalidDataException or SqliteException or UnauthorizedAccessException)
        {
            folder.Dispose();
            fault = $"the record in {path} cannot be opened: {wrong.Message}";
            return null;
        }
    }

    /// <summary>Its runs and their raw readings.</summary>
    public RunSource Source => new(_cell, _catalogue, _journal.ReadFrom, _journal.DefinitionAt);

    /// <summary>A run that has ended; null with the reason.</summary>
    public RecordHistory? Find(long number, out string? fault)
    {
        RunRow? run = _catalogue.Find(_cell, number);
        if (run is null)
        {
            string known = _catalogue.Latest(_cell, 1) is [var newest, ..] ? string.Create(CultureInfo.InvariantCulture, $"the newest is run {newest.Number}") : "there are none";
            fault = $"cell {_cell} has no run {number}; {known}.";
            return null;
        }

        if (run.End is null)
        {
            fault = $"run {number} has no end yet; wait until it has ended.";
            return null;
        }

        if (_journal.DefinitionAt(run.FirstSequence) is not { } cell)
        {
            fault = $"nobody can tell any more how cell {_cell} was wired in run {number}; check the record with thermowatch verify.";
            return null;
        }

        fault = null;
        return new RecordHistory(_journal, cell, run, Report);
    }

    public void Dispose()
    {
        _journal.Dispose();
        _catalogue.Dispose();
        _folder.Dispose();
    }

    private void Report(long sequence)
    {
        if (_time.GetElapsedTime(_reported) >= ProgressEvery)
        {
            _reported = _time.GetTimestamp();
            _error.WriteLine(string.Create(CultureInfo.InvariantCulture, $"thermowatch recalibrate: at entry {sequence} of {_journal.LastSequence}"));
        }
    }
}
