using System.CommandLine;
using System.Text.Json;
using ThermoWatch.Recording.Integrity;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch verify</c>: recomputes the record and names the first thing that does not fit.</summary>
public static class VerifyCommand
{
    /// <summary>The verb. Exit 0: all fits, 1: something does not, 3: there is no such folder.</summary>
    public static Command Create()
    {
        var data = new Option<string>("--data") { Description = "Data folder of the service; it may be running.", Required = true };
        var json = new Option<bool>("--json") { Description = "Print the result as JSON." };
        var command = new Command("verify", "Recompute checksums, hash chain and entries of the record.\n\nExample: thermowatch verify --data /var/lib/thermowatch") { data, json };
        command.SetAction(result => Run(result.GetRequiredValue(data), result.GetValue(json)));
        return command;
    }

    private static int Run(string data, bool json)
    {
        if (!Directory.Exists(data))
        {
            Console.Error.WriteLine($"There is no data folder {data}. Give the right one with --data.");
            return 3;
        }

        IReadOnlyList<(string Part, VerificationReport Report)> parts = RecordVerification.OfFolder(data);
        if (json)
        {
            Console.WriteLine(JsonSerializer.Serialize(parts.Select(part => new
            {
                part = part.Part,
                entries = part.Report.Entries,
                bytes = part.Report.Bytes,
                lastSealed = part.Report.LastSealed,
                head = part.Report.Head,
                misfits = part.Report.Misfits.Select(misfit => new { file = misfit.File, offset = misfit.Offset, what = misfit.What }),
            })));
        }
        else
        {
            foreach ((string part, VerificationReport report) in parts)
            {
                Console.WriteLine($"{part}: {report.Entries} entries, {report.Bytes} bytes, " + (report.IsWhole ? "everything fits" : $"{report.Misfits.Count} misfits")
                    + (report.LastSealed > 0 ? $"; sealed to entry {report.LastSealed}, head {report.Head}" : ""));
                foreach (Misfit misfit in report.Misfits)
                {
                    Console.WriteLine($"  {misfit.File} at byte {misfit.Offset}: {misfit.What}");
                }
            }
        }

        return parts.All(part => part.Report.IsWhole) ? 0 : 1;
    }
}
