using System.CommandLine;
using ThermoWatch.Recording.Backup;
using ThermoWatch.Recording.Integrity;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch backup</c> and <c>thermowatch restore</c>: the record copied out and back, each copy verified. Exit 0: done and verified, 1: done, but the copy does not fit, 3: not done.</summary>
internal static class CopyCommands
{
    /// <summary>Copies the record while the service runs.</summary>
    public static Command Backup() => Create(
        "backup", "Copy the record while the service runs, and verify the copy.\n\nExample: thermowatch backup --data /var/lib/thermowatch --to /mnt/backup/monday",
        new("--data") { Description = "Data folder of the service; it may be running.", Required = true },
        new("--to") { Description = "New folder for the backup.", Required = true },
        (from, to) => RecordBackup.Create(from, to, TimeProvider.System, new Lines()));

    /// <summary>Copies a backup into a new data folder.</summary>
    public static Command Restore() => Create(
        "restore", "Check a backup and copy it into a new data folder.\n\nExample: thermowatch restore --from /mnt/backup/monday --data /var/lib/thermowatch",
        new("--from") { Description = "Folder of a backup.", Required = true },
        new("--data") { Description = "New data folder; it must be empty.", Required = true },
        (from, to) => RecordBackup.Restore(from, to, new Lines()));

    private static Command Create(string verb, string help, Option<string> from, Option<string> to, Func<string, string, BackupReport> copy)
    {
        Command command = new(verb, help) { from, to };
        command.SetAction(result => Tell(copy(result.GetRequiredValue(from), result.GetRequiredValue(to))));
        return command;
    }

    private static int Tell(BackupReport report)
    {
        if (report.Problem is not null)
        {
            Console.Error.WriteLine("thermowatch: " + report.Problem);
            return ExitCodes.Unreachable;
        }

        Console.WriteLine($"{report.Files} files, {report.Bytes} bytes, " + (report.Misfits.Count == 0 ? "verified" : $"{report.Misfits.Count} misfits"));
        foreach (Misfit misfit in report.Misfits)
        {
            Console.WriteLine($"  {misfit.File} at byte {misfit.Offset}: {misfit.What}");
        }

        return report.Misfits.Count == 0 ? ExitCodes.Done : ExitCodes.Failed;
    }

    private sealed class Lines : IProgress<string>
    {
        public void Report(string value) => Console.WriteLine(value);
    }
}
