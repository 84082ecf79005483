using System.CommandLine;
using ThermoWatch.Recording.Backup;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch backup</c>.</summary>
public static class BackupCommand
{
    /// <summary>The verb. Exit 0: done and verified, 1: done, but the copy does not fit, 3: not done.</summary>
    public static Command Create()
    {
        var data = new Option<string>("--data") { Description = "Data folder of the service; it may be running.", Required = true };
        var other = new Option<string>("--to") { Description = "New folder for the backup.", Required = true };
        var command = new Command("backup", "Copy the record while the service runs, and verify the copy.\n\nExample: thermowatch backup --data /var/lib/thermowatch --to /mnt/backup/monday") { data, other };
        command.SetAction(result => Tell(RecordBackup.Create(result.GetRequiredValue(data), result.GetRequiredValue(other), TimeProvider.System, new Lines())));
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
