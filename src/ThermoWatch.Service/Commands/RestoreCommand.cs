using System.CommandLine;
using ThermoWatch.Recording.Backup;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch restore</c>.</summary>
public static class RestoreCommand
{
    /// <summary>The verb. Exit 0: done and verified, 1: done, but the copy does not fit, 3: not done.</summary>
    public static Command Create()
    {
        var data = new Option<string>("--data") { Description = "New data folder; it must be empty.", Required = true };
        var other = new Option<string>("--from") { Description = "Folder of a backup.", Required = true };
        var command = new Command("restore", "Check a backup and copy it into a new data folder.\n\nExample: thermowatch restore --from /mnt/backup/monday --data /var/lib/thermowatch") { data, other };
        command.SetAction(result => Tell(RecordBackup.Restore(result.GetRequiredValue(other), result.GetRequiredValue(data), new Lines())));
        return command;
    }

    private static int Tell(BackupReport report)
    {
        if (report.Problem is not null)
        {
            Console.Error.WriteLine(report.Problem);
            return 3;
        }

        Console.WriteLine($"{report.Files} files, {report.Bytes} bytes, " + (report.Misfits.Count == 0 ? "verified" : $"{report.Misfits.Count} misfits"));
        foreach (var misfit in report.Misfits)
        {
            Console.WriteLine($"  {misfit.File} at byte {misfit.Offset}: {misfit.What}");
        }

        return report.Misfits.Count == 0 ? 0 : 1;
    }

    private sealed class Lines : IProgress<string>
    {
        public void Report(string value) => Console.WriteLine(value);
    }
}
