using System.CommandLine;
using System.Globalization;
using Microsoft.Data.Sqlite;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;
using ThermoWatch.Recording.Keeping;

namespace ThermoWatch.Service.Commands;

/// <summary><c>thermowatch remove-run</c>: an administrator's decision to take a run's readings out of the record.</summary>
internal static class RemoveRunCommand
{
    private const string Help = """
        Take the readings of a run out of the record, for good. The service must be stopped; while it runs, POST
        /api/v1/cells/C/runs/N/removal from the node itself. Says first what will be lost and asks. Who, when and why stand in the
        chain of events, and the record still verifies.

        Example: thermowatch remove-run --data /var/lib/thermowatch --run 17 --by "M. Olsen" --reason "customer's data, agreed 2026-02-27"
        """;

    /// <summary>The verb. Exit 0: done, 2: wrong input, refused or not confirmed, 3: no such folder, in use, or the disk refuses.</summary>
    public static Command Create()
    {
        Option<string> data = new("--data") { Description = "Data folder of the service, which is stopped.", Required = true };
        Option<int> cell = new("--cell") { Description = "Number of the cell.", DefaultValueFactory = _ => 1 };
        Option<long> run = new("--run") { Description = "Number of the run.", Required = true };
        Option<string> by = new("--by") { Description = "Name of the administrator who answers for it.", Required = true };
        Option<string> reason = new("--reason") { Description = "Why.", Required = true };
        Option<bool> yes = new("--yes") { Description = "Do not ask." };
        Command command = new("remove-run", Help) { data, cell, run, by, reason, yes };
        command.SetAction(parse => Run(
            new Request(parse.GetRequiredValue(data), parse.GetValue(cell), parse.GetValue(run), parse.GetRequiredValue(by), parse.GetRequiredValue(reason), parse.GetValue(yes)), Console.In, Console.Out, Console.Error));
        return command;
    }

    internal static int Run(Request request, TextReader answers, TextWriter output, TextWriter errors)
    {
        int Refuse(int code, string problem)
        {
            errors.WriteLine("thermowatch: " + problem);
            return code;
        }

        string folder = DataFolder.JournalPathIn(request.Data, request.Cell);
        if (!Directory.Exists(folder))
        {
            return Refuse(ExitCodes.Unreachable, $"There is no record of cell {request.Cell} in {request.Data}. Give the right folder with --data, or another --cell.");
        }

        DataFolderOpening opening = DataFolder.Open(request.Data, TimeProvider.System);
        using DataFolder? held = opening.Folder;
        if (held is null)
        {
            return Refuse(ExitCodes.Unreachable, opening.Problem + $" While it runs, POST /api/v1/cells/{request.Cell}/runs/{request.Run}/removal from the node itself.");
        }

        try
        {
            if (RecordedJournal.Open(folder).Newest is not { } wired)
            {
                return Refuse(ExitCodes.Unreachable, $"Nothing can be read in {folder}. thermowatch verify says what is wrong.");
            }

            using RunCatalogue catalogue = RunCatalogue.Open(held.CataloguePath, TimeProvider.System);
            using CellJournal journal = CellJournal.Open(folder, wired, TimeProvider.System, new JournalOptions { SealInBackground = false });
            RecordKeeper keeper = new(request.Data, catalogue, [(request.Cell, journal)], TimeProvider.System, new KeepingRules());
            RunRemoval plan = keeper.PlanRemoval(request.Cell, request.Run);
            if (plan.Problem is not null)
            {
                return Refuse(ExitCodes.BadInput, plan.Problem);
            }

            output.WriteLine($"Run {plan.Number} of cell {plan.Cell}, {plan.Start} to {plan.End}: {plan.Entries} entries, {plan.Bytes} bytes.");
            output.WriteLine($"Lost for good: {RunRemoval.Lost}.");
            output.WriteLine($"Kept: {RunRemoval.Kept}" + (plan.EntriesThatStay > 0 ? $"; and {plan.EntriesThatStay} entries that stand in one block with another run." : "."));
            if (!request.Yes)
            {
                output.Write($"Type the number of the run to take it out, anything else to leave it: ");
                if (answers.ReadLine()?.Trim() != request.Run.ToString(CultureInfo.InvariantCulture))
                {
                    return Refuse(ExitCodes.BadInput, "Not confirmed; nothing was taken out. Type the run's number, or give --yes.");
                }
            }

            if (keeper.RemoveRun(request.Cell, request.Run, request.By, Environment.MachineName, request.Reason) is { } refusal)
            {
                return Refuse(ExitCodes.BadInput, refusal);
            }

            output.WriteLine($"Taken out; the chain of events says so by {request.By}.");
            return ExitCodes.Done;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or SqliteException or InvalidDataException)
        {
            return Refuse(ExitCodes.Unreachable, fault.Message);
        }
    }

    internal sealed record Request(string Data, int Cell, long Run, string By, string Reason, bool Yes);
}
