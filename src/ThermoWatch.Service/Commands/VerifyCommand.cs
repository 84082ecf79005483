using System.CommandLine;
using System.Text.Json;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Integrity;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch verify</c>: recomputes the record and names the first thing that does not fit.</summary>
public static class VerifyCommand
{
    private const string Help = """
        Recompute checksums, hash chains, tables and entries of the record, and name the first thing that does not fit.

        Example: thermowatch verify --data /var/lib/thermowatch
        Where it stands now, signed, for somebody else to keep: thermowatch verify --data /var/lib/thermowatch --write-heads monday.json
        Later, with what was kept: thermowatch verify --data /var/lib/thermowatch --heads monday.json --public-key node.pub
        """;

    /// <summary>The verb. Exit 0: all fits, 1: something does not, 2: a file that was given cannot be read, 3: there is no such folder.</summary>
    public static Command Create()
    {
        var data = new Option<string>("--data") { Description = "Data folder of the service; it may be running.", Required = true };
        var json = new Option<bool>("--json") { Description = "Print the result as JSON." };
        var heads = new Option<string?>("--heads") { Description = "Chain heads that were kept, their signature beside them: nothing up to there may have changed." };
        var publicKey = new Option<string?>("--public-key") { Description = "The node's public key as it was handed out (PEM); without it the one in the heads." };
        var write = new Option<string?>("--write-heads") { Description = "Write the chain heads into this file, and their signature beside it." };
        var command = new Command("verify", Help) { data, json, heads, publicKey, write };
        command.SetAction((result, stop) => Task.FromResult(
            Run(result.GetRequiredValue(data), result.GetValue(json), result.GetValue(heads), result.GetValue(publicKey), result.GetValue(write), stop)));
        return command;
    }

    private static int Run(string data, bool json, string? heads, string? publicKey, string? write, CancellationToken stop)
    {
        if (!Directory.Exists(data))
        {
            Console.Error.WriteLine($"thermowatch: There is no data folder {data}. Give the right one with --data.");
            return ExitCodes.Unreachable;
        }

        try
        {
            List<(string Part, VerificationReport Report)> parts = [.. RecordVerification.OfFolder(data, new ProgressLine(), stop)];
            if (heads is not null)
            {
                IReadOnlyList<Misfit> misfits = ChainHeads.Check(data, heads, publicKey is null ? null : File.ReadAllText(publicKey));
                parts.Add((heads, new VerificationReport(misfits, 0, new FileInfo(heads).Length, 0, "")));
            }

            if (json)
            {
                Console.WriteLine(ToJson(parts));
            }
            else
            {
                parts.ForEach(Print);
            }

            if (parts.TrueForAll(part => part.Report.IsWhole) && write is not null)
            {
                return WriteHeads(data, write);
            }

            return parts.TrueForAll(part => part.Report.IsWhole) ? ExitCodes.Done : ExitCodes.Failed;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            Console.Error.WriteLine($"thermowatch: {fault.Message}");
            return ExitCodes.BadInput;
        }
        catch (OperationCanceledException)
        {
            Console.Error.WriteLine("thermowatch: stopped before the end; nothing is known of what was not reached.");
            return ExitCodes.Unreachable;
        }
    }

    private static int WriteHeads(string data, string path)
    {
        (NodeKey? key, string? problem) = NodeKey.Open(data);
        using (key)
        {
            if (key is null)
            {
                Console.Error.WriteLine("thermowatch: " + problem);
                return ExitCodes.Unreachable;
            }

            ChainHeads.Write(data, path, key, Timestamp.From(TimeProvider.System.GetUtcNow()));
            Console.Error.WriteLine($"Chain heads are in {path}, their signature in {path}{ChainHeads.SignatureEnding}; the public key is {Path.Combine(data, NodeKey.PublicFileName)}.");
            return ExitCodes.Done;
        }
    }

    private static void Print((string Part, VerificationReport Report) found)
    {
        (string part, VerificationReport report) = found;
        Console.WriteLine($"{part}: {report.Entries} entries, {report.Bytes} bytes, " + (report.IsWhole ? "everything fits" : $"{report.Misfits.Count} misfits")
            + (report.LastSealed > 0 ? $"; sealed to entry {report.LastSealed}, head {report.Head}" : ""));
        foreach (Misfit misfit in report.Misfits)
        {
            Console.WriteLine($"  {misfit.File} at byte {misfit.Offset}: {misfit.What}");
        }
    }

    private static string ToJson(IEnumerable<(string Part, VerificationReport Report)> parts) => JsonSerializer.Serialize(parts.Select(part => new
    {
        part = part.Part,
        entries = part.Report.Entries,
        bytes = part.Report.Bytes,
        lastSealed = part.Report.LastSealed,
        head = part.Report.Head,
        misfits = part.Report.Misfits.Select(misfit => new { file = misfit.File, offset = misfit.Offset, what = misfit.What }),
    }));

    /// <summary>A line on standard error for each tenth of a part: a record of years takes a while.</summary>
    private sealed class ProgressLine : IProgress<(string Part, long Done, long Total)>
    {
        private (string Part, long Tenth) _said;

        public void Report((string Part, long Done, long Total) value)
        {
            const long TooSmallToTell = 32 << 20;
            (string, long) now = (value.Part, value.Done * 10 / Math.Max(1, value.Total));
            if (value.Total >= TooSmallToTell && now != _said)
            {
                _said = now;
                Console.Error.WriteLine($"{value.Part}: {now.Item2 * 10} %");
            }
        }
    }
}
