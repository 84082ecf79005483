using System.Security.Cryptography;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using ThermoWatch.Recording.Archive;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Integrity;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Backup;

/// <summary>How a backup or a restore went.</summary>
/// <param name="Files">Files copied.</param>
/// <param name="Bytes">Their bytes.</param>
/// <param name="Misfits">What verifying the copy found; empty if it is whole.</param>
/// <param name="Problem">Why it was not done, and what to do; null if it was done.</param>
public sealed record BackupReport(int Files, long Bytes, IReadOnlyList<Misfit> Misfits, string? Problem);

/// <summary>A copy of a data folder that can be taken while a service records into it, and its way back.</summary>
/// <remarks>A backup is a data folder with a <c>backup.json</c> that gives each file's length and SHA-256.</remarks>
public static class RecordBackup
{
    private const string ManifestName = "backup.json", CatalogueName = "thermowatch.sqlite";

    /// <summary>Copies a data folder and verifies the copy.</summary>
    /// <param name="data">The folder; a service may be recording into it.</param>
    /// <param name="target">A folder that is empty or not there.</param>
    /// <param name="time">Stamps the backup.</param>
    /// <param name="progress">Told each file that was copied.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    public static BackupReport Create(string data, string target, TimeProvider time, IProgress<string>? progress = null, CancellationToken stop = default)
    {
        if (!Directory.Exists(data))
        {
            return Refused($"There is no data folder {data}. Give the right one with --data.");
        }

        if (!IsFree(target))
        {
            return Refused($"The folder {target} is not empty. Give a new one.");
        }

        try
        {
            Directory.CreateDirectory(target);
            // Tables lean on the chain and the chain on the archives: each is copied before what it leans on, which only grows.
            if (File.Exists(Path.Combine(data, CatalogueName)))
            {
                CatalogueCheck.Copy(Path.Combine(data, CatalogueName), Path.Combine(target, CatalogueName));
                progress?.Report(CatalogueName);
            }

            if (File.Exists(Path.Combine(data, ChainFile.FileName)))
            {
                CopyChain(Path.Combine(data, ChainFile.FileName), Path.Combine(target, ChainFile.FileName));
                progress?.Report(ChainFile.FileName);
            }

            foreach ((_, string journal) in DataFolder.Journals(data))
            {
                CopyJournal(journal, Path.Combine(target, Path.GetRelativePath(data, journal)), progress, stop);
            }

            BackupFile[] files = [.. Directory.EnumerateFiles(target, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal).Select(path => Describe(target, path))];
            var manifest = new BackupManifest(1, time.GetUtcNow(), files);
            File.WriteAllBytes(Path.Combine(target, ManifestName), JsonSerializer.SerializeToUtf8Bytes(manifest, RecordJson.Options));
            return Done(target, files, stop);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or SqliteException)
        {
            return Refused($"The backup could not be finished: {fault.Message}");
        }
    }

    /// <summary>Checks a backup against its manifest, copies it into a new data folder and verifies that.</summary>
    /// <param name="backup">A folder made by <see cref="Create"/>.</param>
    /// <param name="data">A folder that is empty or not there.</param>
    /// <param name="progress">Told each file that was copied.</param>
    /// <param name="stop">Ends it early with <see cref="OperationCanceledException"/>.</param>
    public static BackupReport Restore(string backup, string data, IProgress<string>? progress = null, CancellationToken stop = default)
    {
        if (!IsFree(data))
        {
            return Refused($"The data folder {data} is not empty. Restore into a new one: a record is never written over.");
        }

        try
        {
            string manifestPath = Path.Combine(backup, ManifestName);
            if (!File.Exists(manifestPath) || JsonSerializer.Deserialize<BackupManifest>(File.ReadAllBytes(manifestPath), RecordJson.Options) is not { } manifest)
            {
                return Refused($"The folder {backup} is no backup: it has no {ManifestName}.");
            }

            BackupFile? wrong = manifest.Files.FirstOrDefault(file => !Fits(backup, file));
            if (wrong is not null)
            {
                return Refused($"The backup's file {wrong.Path} is missing or was changed since. Nothing was restored; use another backup.");
            }

            foreach (BackupFile file in manifest.Files)
            {
                stop.ThrowIfCancellationRequested();
                string to = Path.Combine(data, file.Path);
                Directory.CreateDirectory(Path.GetDirectoryName(to)!);
                File.Copy(Path.Combine(backup, file.Path), to);
                progress?.Report(file.Path);
            }

            return Done(data, manifest.Files, stop);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or JsonException)
        {
            return Refused($"The backup could not be restored: {fault.Message}");
        }
    }

    /// <summary>Up to its last whole line: it may have been caught in the middle of a write.</summary>
    private static void CopyChain(string from, string to)
    {
        File.Copy(from, to);
        using var stream = new FileStream(to, FileMode.Open, FileAccess.ReadWrite);
        while (stream.Length > 0)
        {
            stream.Position = stream.Length - 1;
            if (stream.ReadByte() == '\n')
            {
                break;
            }

            stream.SetLength(stream.Length - 1);
        }
    }

    /// <summary>The journal first: a file that is sealed while we copy is then found in the archive, and no entry is missed.</summary>
    private static void CopyJournal(string from, string to, IProgress<string>? progress, CancellationToken stop)
    {
        Directory.CreateDirectory(to);
        string[] journal = [.. Directory.GetFiles(from, "*" + Segment.Extension).Order(StringComparer.Ordinal)];
        for (int i = 0; i < journal.Length; i++)
        {
            stop.ThrowIfCancellationRequested();
            try
            {
                byte[] bytes = File.ReadAllBytes(journal[i]);
                int length = i == journal.Length - 1 ? WholeLength(bytes, journal[i]) : bytes.Length;
                File.WriteAllBytes(Path.Combine(to, Path.GetFileName(journal[i])), bytes.AsSpan(0, length));
                progress?.Report(Path.GetFileName(journal[i]));
            }
            catch (FileNotFoundException)
            {
                // Sealed in between.
            }
        }

        foreach ((string path, _) in ArchiveIndex.Files(from))
        {
            stop.ThrowIfCancellationRequested();
            string copy = Path.Combine(to, Path.GetFileName(path));
            File.Copy(path, copy);
            _ = ArchiveIndex.Blocks(copy, [], out long end); // a block that was just being written stays in the journal
            using var handle = File.OpenHandle(copy, FileMode.Open, FileAccess.Write);
            RandomAccess.SetLength(handle, Math.Min(end, RandomAccess.GetLength(handle)));
            progress?.Report(Path.GetFileName(path));
        }
    }

    /// <summary>Length up to the last whole entry: the newest file may have been caught in the middle of a write.</summary>
    private static int WholeLength(byte[] bytes, string path)
    {
        _ = Segment.TryParseName(Path.GetFileName(path), out long first);
        var walk = new SegmentWalk(bytes, SegmentHeader.TryRead(bytes, out _)?.Length ?? 0, first, path);
        while (walk.Next() is not null)
        {
            // Only the place behind the last entry is wanted.
        }

        return walk.NextSequence > first ? walk.Offset : bytes.Length;
    }

    private static bool IsFree(string folder) => !Directory.Exists(folder) || !Directory.EnumerateFileSystemEntries(folder).Any();

    private static BackupFile Describe(string root, string path)
    {
        using FileStream stream = File.OpenRead(path);
        return new BackupFile(Path.GetRelativePath(root, path).Replace('\\', '/'), stream.Length, Convert.ToHexStringLower(SHA256.HashData(stream)));
    }

    // A manifest is only a file: a path in it may not lead out of the backup.
    private static bool Fits(string root, BackupFile file)
    {
        string path = Path.GetFullPath(Path.Combine(root, file.Path));
        return path.StartsWith(Path.GetFullPath(root) + Path.DirectorySeparatorChar, StringComparison.Ordinal) && File.Exists(path) && Describe(root, path) == file;
    }

    private static BackupReport Done(string folder, IReadOnlyCollection<BackupFile> files, CancellationToken stop) =>
        new(files.Count, files.Sum(file => file.Bytes), [.. RecordVerification.OfFolder(folder, null, stop).SelectMany(part => part.Report.Misfits)], null);

    private static BackupReport Refused(string problem) => new(0, 0, [], problem);

    private sealed record BackupManifest(int Version, DateTimeOffset Created, BackupFile[] Files);

    private sealed record BackupFile(string Path, long Bytes, string Sha256);
}
