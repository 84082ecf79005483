using System.Globalization;
using System.Text.Json;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording;

/// <summary>The folder in which a node keeps its whole record, held by one service at a time.</summary>
/// <remarks>
/// The lock is the operating system's on <c>lock</c>, which falls with the process, however it ends; beside it
/// <c>service.json</c> says who holds it. A folder left behind by a dead process is therefore simply taken over.
/// </remarks>
public sealed class DataFolder : IDisposable
{
    private readonly FileStream _lock;

    private DataFolder(string path, FileStream held, DataFolderHolder? predecessor) => (Path, _lock, Predecessor) = (path, held, predecessor);

    /// <summary>Full path of the folder.</summary>
    public string Path { get; }

    /// <summary>The service that held the folder before and did not let go of it by itself; null after a clean end.</summary>
    public DataFolderHolder? Predecessor { get; }

    /// <summary>The SQLite file of runs, alarms and everything else that is asked for by its contents.</summary>
    public string CataloguePath => System.IO.Path.Combine(Path, "thermowatch.sqlite");

    /// <summary>Folder of a cell's journal.</summary>
    /// <param name="cell">Number of the cell, from 1.</param>
    public string JournalPath(int cell) => JournalPathIn(Path, cell);

    /// <summary>The same in a data folder that is not held, such as a backup.</summary>
    /// <param name="folder">The data folder.</param>
    /// <param name="cell">Number of the cell, from 1.</param>
    public static string JournalPathIn(string folder, int cell) =>
        System.IO.Path.Combine(folder, "cells", cell.ToString(CultureInfo.InvariantCulture), "journal");

    /// <summary>The cells that a data folder has a journal of, and where it lies, by number.</summary>
    public static IReadOnlyList<KeyValuePair<int, string>> Journals(string data)
    {
        string cells = System.IO.Path.Combine(data, "cells");
        List<KeyValuePair<int, string>> found = [];
        foreach (string folder in Directory.Exists(cells) ? Directory.GetDirectories(cells) : [])
        {
            string journal = System.IO.Path.Combine(folder, "journal");
            if (int.TryParse(System.IO.Path.GetFileName(folder), NumberStyles.None, CultureInfo.InvariantCulture, out int cell) && Directory.Exists(journal))
            {
                found.Add(new(cell, journal));
            }
        }

        found.Sort((a, b) => a.Key.CompareTo(b.Key));
        return found;
    }

    /// <summary>Makes the folder if it is not there and takes it; or says why that cannot be.</summary>
    /// <param name="path">The folder.</param>
    /// <param name="time">For the start time that a second service is told.</param>
    public static DataFolderOpening Open(string path, TimeProvider time)
    {
        string full = System.IO.Path.GetFullPath(path);
        string holderPath = System.IO.Path.Combine(full, "service.json");
        try
        {
            Directory.CreateDirectory(full);
            FileStream held = new(System.IO.Path.Combine(full, "lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
            DataFolderHolder? predecessor = ReadHolder(holderPath);
            var holder = new DataFolderHolder(Environment.ProcessId, Timestamp.From(time.GetUtcNow()).ToDateTimeOffset());
            File.WriteAllText(holderPath, JsonSerializer.Serialize(holder, HolderJson));
            return new DataFolderOpening(new DataFolder(full, held, predecessor), null, null);
        }
        catch (UnauthorizedAccessException)
        {
            return new DataFolderOpening(null, null, $"The data folder {full} may not be written. Give the service's user write access to it, or choose another with --data.");
        }
        catch (IOException fault)
        {
            return ReadHolder(holderPath) is { } other && fault is not DirectoryNotFoundException
                ? new DataFolderOpening(null, other, $"The data folder {full} is in use by process {other.ProcessId}, started {other.Started:u}. Stop that service, or choose another folder with --data.")
                : new DataFolderOpening(null, null, $"The data folder {full} cannot be used: {fault.Message}");
        }
    }

    /// <summary>Lets go of the folder.</summary>
    public void Dispose()
    {
        try
        {
            File.Delete(System.IO.Path.Combine(Path, "service.json"));
        }
        catch (IOException)
        {
            // It only names the holder; the lock itself goes with the stream.
        }

        _lock.Dispose();
    }

    private static readonly JsonSerializerOptions HolderJson = new(JsonSerializerDefaults.Web);

    private static DataFolderHolder? ReadHolder(string path)
    {
        try
        {
            return File.Exists(path) ? JsonSerializer.Deserialize<DataFolderHolder>(File.ReadAllText(path), HolderJson) : null;
        }
        catch (Exception fault) when (fault is JsonException or IOException)
        {
            return null;
        }
    }
}

/// <summary>A service that holds a data folder.</summary>
/// <param name="ProcessId">Its process.</param>
/// <param name="Started">When it took the folder, UTC.</param>
public sealed record DataFolderHolder(int ProcessId, DateTimeOffset Started);

/// <summary>A data folder, or why it could not be had.</summary>
/// <param name="Folder">The folder; null if it could not be had.</param>
/// <param name="Holder">The other service that holds it, as far as it is known.</param>
/// <param name="Problem">What is wrong and what to do, in one line; null if nothing is.</param>
public sealed record DataFolderOpening(DataFolder? Folder, DataFolderHolder? Holder, string? Problem);
